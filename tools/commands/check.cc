#include <ostream>

#include "analysis/findings/coverage.h"
#include "analysis/findings/findings_of.h"
#include "analysis/stretches/check_session.h"
#include "analysis/warned/warned_checks.h"
#include "output/json/checks_json.h"
#include "output/text/checks_text.h"
#include "output/words/cautions.h"
#include "tools/input/json_output.h"
#include "tools/input/output_file.h"
#include "tools/input/session_input.h"
#include "tools/input/settings_option.h"
#include "tools/shell/command.h"
#include "tools/shell/progress.h"

namespace proofdrive::tools {
namespace {

using analysis::CheckResult;

class CheckCommand : public Command {
 public:
  std::string name() const override { return "check"; }
  std::string summary() const override {
    return "Check insulation, cells, cooling, contactors and supply in one session";
  }
  std::string example() const override {
    return "proofdrive check after-repair.session --set pack.chemistry=nmc --set "
           "pack.capacity=107\n"
           "Exit codes: 0 every check is within limits, 1 one is outside limits, 3 one asks to "
           "look "
           "closer\n  or cannot tell, 4 the input is damaged, 2 it cannot be read.";
  }
  void AddOptions(OptionList& options) override {
    options.Add("SESSION", &path_, "Session to check").Required();
    options.Add("--definitions", &definitions_,
                "Definition file to use instead of those stored with the session; repeatable");
    AddSettingsOption(options, assignments_);
    AddOverwriteOption(options, overwrite_);
    options.Add("--all", &all_, "Show what every answer rests on, and further cautions");
    json_.AddTo(options, overwrite_);
  }

  Result<ExitCode> Run(Environment& environment) override {
    ASSIGN_OR_RETURN(const analysis::CheckSettings settings, SettingsOf(assignments_));
    RETURN_IF_ERROR(json_.Check(environment.files));
    ASSIGN_OR_RETURN(auto reader, OpenSession(environment, path_));
    ASSIGN_OR_RETURN(const auto set,
                     LoadDefinitions(environment, definitions_, path_, reader->header()));
    if (set.definitions == nullptr) {
      Note(environment, path_ + " has no definitions; give some with --definitions");
    }
    ASSIGN_OR_RETURN(const auto results, Results(environment, *reader, set, settings));
    RETURN_IF_ERROR(Print(environment, results, analysis::CoverageOf(*reader, set)));
    if (ReportLosses(environment, path_, *reader)) return ExitCode::kDamaged;
    if (analysis::AnyOutside(results)) return ExitCode::kOpen;
    return analysis::AnyUndecided(results) ? ExitCode::kUnproven : ExitCode::kDone;
  }

 private:
  // Checks and warnings in one pass.
  Result<std::vector<CheckResult>> Results(Environment& environment, session::Reader& reader,
                                           const analysis::DefinitionSet& set,
                                           const analysis::CheckSettings& settings) const {
    auto measured = MeasuredAt(environment, path_, reader.header());
    if (set.definitions == nullptr) {
      return analysis::CheckSession(reader, set, settings, std::move(measured));
    }
    Progress progress(environment, "read " + FileNameOf(path_));
    analysis::FindingsOptions options;
    options.warnings_only = true;
    analysis::FindingsTaker warnings(reader, set, options);
    analysis::CheckTaker checks(reader, set, settings, std::move(measured));
    analysis::Pass pass(reader, set.definitions);
    pass.Add(warnings);
    pass.Add(checks);
    RETURN_IF_ERROR(pass.Run(progress.Function()));
    std::vector<CheckResult> results = checks.Finish();
    analysis::HoldAgainstWarnings(warnings.Finish(pass), results);
    return results;
  }

  Status Print(Environment& environment, const std::vector<CheckResult>& results,
               const analysis::Coverage& coverage) const {
    if (json_.given())
      RETURN_IF_ERROR(json_.Take(environment, output::ChecksJson(results, coverage)));
    if (json_.instead()) {
      for (const auto& caution : output::CautionsFor(output::CautionContext::kAlways)) {
        Note(environment, caution.text);
      }
      return Status::Ok();
    }
    environment.out << output::FormatChecks(results, all_, coverage);
    return Status::Ok();
  }

  std::string path_;
  std::vector<std::string> definitions_;
  std::vector<std::string> assignments_;
  JsonOutput json_;
  bool overwrite_ = false;
  bool all_ = false;
};

}  // namespace

std::unique_ptr<Command> MakeCheckCommand() { return std::make_unique<CheckCommand>(); }

}  // namespace proofdrive::tools
