// proofdrive codes: the trouble codes that control units told somebody while a session was
// recorded.
#include <CLI/CLI.hpp>
#include <ostream>

#include "output/asked_text.h"
#include "tools/commands/commands.h"
#include "tools/session_input.h"

namespace proofdrive::tools {
namespace {

class CodesCommand : public Command {
 public:
  std::string name() const override { return "codes"; }
  std::string summary() const override {
    return "Show the trouble codes that control units told while a session was recorded";
  }
  std::string example() const override { return "proofdrive codes arrival.session"; }
  void AddOptions(CLI::App& app) override {
    app.add_option("SESSION", path_, "Session to read")->required();
    app.add_option("--definitions", definitions_,
                   "Definition file to use instead of those stored with the session; repeatable")
        ->allow_extra_args(false);
    app.add_flag("--json", json_, "Print everything as JSON");
  }

  Result<ExitCode> Run(Environment& environment) override {
    ASSIGN_OR_RETURN(const auto reader, OpenSession(environment, path_));
    ASSIGN_OR_RETURN(const auto set,
                     LoadDefinitions(environment, definitions_, path_, reader->header()));
    ASSIGN_OR_RETURN(const auto asked, analysis::AskedUnitsOf(*reader, set));
    environment.out << (json_ ? output::CodesJson(asked, path_)
                              : output::FormatCodes(asked, path_));
    if (ReportLosses(environment, path_, *reader)) return ExitCode::kDamaged;
    if (asked.faults() > 0) return ExitCode::kOpen;
    return asked.has_lists() ? ExitCode::kDone : ExitCode::kUnproven;
  }

 private:
  std::string path_;
  std::vector<std::string> definitions_;
  bool json_ = false;
};

}  // namespace

std::unique_ptr<Command> MakeCodesCommand() { return std::make_unique<CodesCommand>(); }

}  // namespace proofdrive::tools
