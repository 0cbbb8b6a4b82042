// proofdrive identify: versions and numbers that control units told while a session was recorded.
#include <CLI/CLI.hpp>
#include <algorithm>
#include <ostream>

#include "output/asked_text.h"
#include "tools/commands/commands.h"
#include "tools/session_input.h"

namespace proofdrive::tools {
namespace {

bool HasIdentification(const analysis::AskedUnits& asked) {
  return std::any_of(asked.units.begin(), asked.units.end(), [](const decoders::UnitReport& unit) {
    return !unit.identification.empty() || !unit.information.empty();
  });
}

class IdentifyCommand : public Command {
 public:
  std::string name() const override { return "identify"; }
  std::string summary() const override {
    return "Show the versions and numbers that control units told while a session was recorded";
  }
  std::string example() const override { return "proofdrive identify arrival.session"; }
  void AddOptions(CLI::App& app) override {
    app.add_option("SESSION", path_, "Session to read")->required();
    app.add_option("--definitions", definitions_,
                   "Definition file to use instead of those stored with the session; repeatable")
        ->allow_extra_args(false);
    app.add_flag("--vin", vin_, "Show vehicle identification numbers in full, not masked");
    app.add_flag("--json", json_, "Print everything as JSON");
  }

  Result<ExitCode> Run(Environment& environment) override {
    ASSIGN_OR_RETURN(const auto reader, OpenSession(environment, path_));
    ASSIGN_OR_RETURN(const auto set,
                     LoadDefinitions(environment, definitions_, path_, reader->header()));
    ASSIGN_OR_RETURN(const auto asked, analysis::AskedUnitsOf(*reader, set));
    environment.out << (json_ ? output::IdentificationJson(asked, path_, vin_)
                              : output::FormatIdentification(asked, path_, vin_));
    if (ReportLosses(environment, path_, *reader)) return ExitCode::kDamaged;
    return HasIdentification(asked) ? ExitCode::kDone : ExitCode::kUnproven;
  }

 private:
  std::string path_;
  std::vector<std::string> definitions_;
  bool vin_ = false;
  bool json_ = false;
};

}  // namespace

std::unique_ptr<Command> MakeIdentifyCommand() { return std::make_unique<IdentifyCommand>(); }

}  // namespace proofdrive::tools
