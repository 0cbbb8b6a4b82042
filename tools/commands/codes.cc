// proofdrive codes: the trouble codes of control units, from a session or asked for now.
#include <CLI/CLI.hpp>
#include <ostream>

#include "output/asked_text.h"
#include "tools/asked_answers.h"
#include "tools/commands/commands.h"
#include "tools/commands/daemon_answers.h"
#include "tools/control_client.h"
#include "tools/session_input.h"

namespace proofdrive::tools {
namespace {

class CodesCommand : public Command {
 public:
  std::string name() const override { return "codes"; }
  std::string summary() const override {
    return "Show trouble codes: those told while a session was recorded, or asked for now";
  }
  std::string example() const override { return "proofdrive codes arrival.session"; }
  void AddOptions(CLI::App& app) override {
    app.add_option("SESSION", path_,
                   "Session to read; without one the daemon asks the control units now");
    app.add_option("--definitions", definitions_,
                   "Definition file to use instead of those stored with the session; repeatable")
        ->allow_extra_args(false);
    AddSocketOption(app, socket_);
    app.add_flag("--json", json_, "Print everything as JSON");
  }

  Result<ExitCode> Run(Environment& environment) override {
    return path_.empty() ? AskNow(environment) : ReadSession(environment);
  }

 private:
  Result<ExitCode> ReadSession(Environment& environment) const {
    ASSIGN_OR_RETURN(const auto reader, OpenSession(environment, path_));
    ASSIGN_OR_RETURN(const auto set,
                     LoadDefinitions(environment, definitions_, path_, reader->header()));
    ASSIGN_OR_RETURN(const auto asked, analysis::AskedUnitsOf(*reader, set));
    Show(environment, asked, path_);
    if (ReportLosses(environment, path_, *reader)) return ExitCode::kDamaged;
    return CodeOf(asked);
  }

  Result<ExitCode> AskNow(Environment& environment) const {
    ASSIGN_OR_RETURN(const std::string answer, AskDaemon(socket_, "POST", "/api/codes", "{}"));
    ASSIGN_OR_RETURN(const auto document, ParseAnswer(answer));
    std::string problem;
    ASSIGN_OR_RETURN(const auto asked, ReadAsked(document, problem));
    Show(environment, asked, "asked now");
    if (!problem.empty()) Note(environment, "not everything was asked: " + problem);
    return CodeOf(asked);
  }

  void Show(Environment& environment, const analysis::AskedUnits& asked,
            const std::string& path) const {
    environment.out << (json_ ? output::CodesJson(asked, path) : output::FormatCodes(asked, path));
  }

  static ExitCode CodeOf(const analysis::AskedUnits& asked) {
    if (asked.faults() > 0) return ExitCode::kOpen;
    return asked.has_lists() && asked.silent.empty() ? ExitCode::kDone : ExitCode::kUnproven;
  }

  std::string path_;
  std::vector<std::string> definitions_;
  std::string socket_;
  bool json_ = false;
};

}  // namespace

std::unique_ptr<Command> MakeCodesCommand() { return std::make_unique<CodesCommand>(); }

}  // namespace proofdrive::tools
