// proofdrive identify: versions and numbers of control units, from a session or asked for now.
#include <CLI/CLI.hpp>
#include <algorithm>
#include <ostream>

#include "output/asked_text.h"
#include "tools/asked_answers.h"
#include "tools/commands/commands.h"
#include "tools/commands/daemon_answers.h"
#include "tools/control_client.h"
#include "tools/session_input.h"

namespace proofdrive::tools {
namespace {

ExitCode CodeOf(const analysis::AskedUnits& asked) {
  const bool any =
      std::any_of(asked.units.begin(), asked.units.end(), [](const decoders::UnitReport& unit) {
        return !unit.identification.empty() || !unit.information.empty();
      });
  return any ? ExitCode::kDone : ExitCode::kUnproven;
}

class IdentifyCommand : public Command {
 public:
  std::string name() const override { return "identify"; }
  std::string summary() const override {
    return "Show versions and numbers of control units: from a session, or asked for now";
  }
  std::string example() const override { return "proofdrive identify arrival.session"; }
  void AddOptions(CLI::App& app) override {
    app.add_option("SESSION", path_,
                   "Session to read; without one the daemon asks the control units now");
    app.add_option("--definitions", definitions_,
                   "Definition file to use instead of those stored with the session; repeatable")
        ->allow_extra_args(false);
    app.add_flag(
        "--vin", vin_,
        "Show vehicle identification numbers in full, not masked; asked now, the number is "
        "asked for too and so becomes part of the recording");
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
    ASSIGN_OR_RETURN(const std::string answer, AskDaemon(socket_, "POST", "/api/identify",
                                                         nlohmann::json{{"vin", vin_}}.dump()));
    ASSIGN_OR_RETURN(const auto document, ParseAnswer(answer));
    std::string problem;
    ASSIGN_OR_RETURN(const auto asked, ReadAsked(document, problem));
    Show(environment, asked, "asked now");
    if (!problem.empty()) Note(environment, "not everything was asked: " + problem);
    return CodeOf(asked);
  }

  void Show(Environment& environment, const analysis::AskedUnits& asked,
            const std::string& path) const {
    environment.out << (json_ ? output::IdentificationJson(asked, path, vin_)
                              : output::FormatIdentification(asked, path, vin_));
  }

  std::string path_;
  std::vector<std::string> definitions_;
  std::string socket_;
  bool vin_ = false;
  bool json_ = false;
};

}  // namespace

std::unique_ptr<Command> MakeIdentifyCommand() { return std::make_unique<IdentifyCommand>(); }

}  // namespace proofdrive::tools
