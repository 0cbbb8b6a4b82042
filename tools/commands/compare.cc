#include <ostream>

#include "analysis/checking/guesses.h"
#include "analysis/compare/comparison.h"
#include "analysis/compare/confirm_places.h"
#include "analysis/findings/findings_of.h"
#include "analysis/stretches/check_session.h"
#include "analysis/warned/warned_checks.h"
#include "output/json/comparison_json.h"
#include "output/report/comparison_report.h"
#include "output/report/signal_figures.h"
#include "output/text/comparison_text.h"
#include "output/words/cautions.h"
#include "output/words/comparison_words.h"
#include "tools/input/both_sessions.h"
#include "tools/input/json_output.h"
#include "tools/input/output_file.h"
#include "tools/input/report_output.h"
#include "tools/input/session_input.h"
#include "tools/input/settings_option.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

using analysis::Comparison;

void TellClockSteps(Environment& environment, const std::string& path,
                    const analysis::SessionFindings& findings) {
  for (const analysis::ClockStep& step : findings.clock_steps) {
    Note(environment, path + ": the clock of " +
                          analysis::ChannelLabel(findings.header, step.channel) +
                          " was set back by about " + FormatDuration(-step.step) + ", " +
                          FormatDuration(step.at) +
                          " into it; the order of recording is kept and the step takes no time.");
  }
}

ExitCode CodeOf(const Comparison& comparison) {
  if (comparison.AnyOpen()) return ExitCode::kOpen;
  // Nothing judged is nothing proven.
  if (comparison.InOrder().empty() || comparison.AnyUnproven()) return ExitCode::kUnproven;
  return ExitCode::kDone;
}

class CompareCommand : public Command {
 public:
  std::string name() const override { return "compare"; }
  std::string summary() const override { return "Say what a repair changed between two sessions"; }
  std::string example() const override {
    return "proofdrive compare arrival.session after-repair.session\n"
           "Exit codes: 0 nothing is open, 1 a warning or trouble code is still on, came back or "
           "is new,\n  3 something is not proven or has no evidence, 4 the input is damaged, 2 it "
           "cannot be read.";
  }
  void AddOptions(OptionList& options) override {
    options.Add("BEFORE", &before_path_, "Session recorded before the repair");
    options.Add("AFTER", &after_path_, "Session recorded after the repair");
    options.Add("--definitions", &definitions_,
                "Definition file to use instead of those stored with the sessions; repeatable");
    AddSettingsOption(options, assignments_);
    AddOverwriteOption(options, overwrite_);
    json_.AddTo(options, overwrite_);
    options.Add("--all", &all_,
                "Show what was off in both, every figure, frames with faults and further cautions");
    options.Add("--report", &report_path_,
                "Write a report to this HTML file; it needs no network and can be printed");
  }

  Result<ExitCode> Run(Environment& environment) override {
    RETURN_IF_ERROR(CheckPaths(environment.files));
    ASSIGN_OR_RETURN(const analysis::CheckSettings settings, SettingsOf(assignments_));
    ASSIGN_OR_RETURN(auto before, OpenSession(environment, before_path_));
    ASSIGN_OR_RETURN(auto after, OpenSession(environment, after_path_));
    auto chosen = analysis::DefinitionsForComparison(environment.files, definitions_,
                                                     before->header(), after->header());
    RETURN_IF_ERROR(CheckDefinitions(environment, chosen.for_after, after_path_));
    RETURN_IF_ERROR(CheckDefinitions(environment, chosen.for_before, before_path_));
    analysis::FindingsOptions options;
    if (!report_path_.empty()) options.curve_points = output::kCurvePoints;  // for plots only
    ASSIGN_OR_RETURN(auto checks, Checks(environment, *before, *after, chosen, settings));
    chosen.for_after.definitions = chosen.for_before.definitions = analysis::SettledBy(
        checks.after, analysis::SettledBy(checks.before, chosen.for_after.definitions));
    ASSIGN_OR_RETURN(auto both, ReadBoth(environment, *before, *after, chosen, options));
    Comparison comparison =
        analysis::Compare(std::move(both.before), std::move(both.after), chosen.only_stored_before);
    RETURN_IF_ERROR(analysis::ConfirmPlaces(*after, comparison));
    analysis::HoldAgainstWarnings(comparison.before, checks.before);
    analysis::HoldAgainstWarnings(comparison.after, checks.after);
    comparison.checks = analysis::PairChecks(
        checks.before, checks.after,
        analysis::ConditionsOf(comparison.before, comparison.after,
                               analysis::WithFacts(settings, chosen.for_after)));
    const std::string doubt = output::OrderDoubt(comparison);
    if (!doubt.empty()) Note(environment, doubt);
    TellClockSteps(environment, before_path_, comparison.before);
    TellClockSteps(environment, after_path_, comparison.after);
    RETURN_IF_ERROR(Print(environment, comparison));
    RETURN_IF_ERROR(WriteReport(environment, comparison, *before, *after));
    bool damaged = ReportLosses(environment, before_path_, *before);
    damaged |= ReportLosses(environment, after_path_, *after);
    return damaged ? ExitCode::kDamaged : CodeOf(comparison);
  }

 private:
  OutputFile ReportOutput() const { return {"--report", report_path_, overwrite_}; }

  Status CheckPaths(Files& files) const {
    if (before_path_.empty() || after_path_.empty()) {
      return Status(ErrorKind::kInvalidArgument,
                    "compare needs two sessions: proofdrive compare BEFORE AFTER (write --json "
                    "after them)");
    }
    RETURN_IF_ERROR(json_.Check(files));
    return CheckOutput(files, ReportOutput());
  }

  struct BothChecks {
    std::vector<analysis::CheckResult> before, after;
  };

  // First, because what was measured by hand settles how sure the definitions are.
  Result<BothChecks> Checks(Environment& environment, session::Reader& before,
                            session::Reader& after, const analysis::ComparisonDefinitions& chosen,
                            const analysis::CheckSettings& settings) const {
    BothChecks both;
    if (chosen.for_after.definitions == nullptr) return both;
    ASSIGN_OR_RETURN(both.before, analysis::CheckSession(
                                      before, chosen.for_before, settings,
                                      MeasuredAt(environment, before_path_, before.header())));
    ASSIGN_OR_RETURN(both.after,
                     analysis::CheckSession(after, chosen.for_after, settings,
                                            MeasuredAt(environment, after_path_, after.header())));
    return both;
  }

  Status WriteReport(Environment& environment, const Comparison& comparison,
                     const session::RecordingReader& before,
                     const session::RecordingReader& after) const {
    if (report_path_.empty()) return Status::Ok();
    ASSIGN_OR_RETURN(auto old_file, FileOf(environment, before));
    ASSIGN_OR_RETURN(auto new_file, FileOf(environment, after));
    const std::string html = output::ComparisonReport(
        {comparison, std::move(old_file), std::move(new_file), Software()});
    RETURN_IF_ERROR(WriteOutput(environment.files, ReportOutput(), html));
    Note(environment, "wrote " + report_path_ + "; open it in a browser, it needs no network.");
    return Status::Ok();
  }

  Status Print(Environment& environment, const Comparison& comparison) const {
    if (json_.given()) RETURN_IF_ERROR(json_.Take(environment, output::ComparisonJson(comparison)));
    if (json_.instead()) {
      for (const auto& caution : output::CautionsFor(output::CautionContext::kAlways)) {
        Note(environment, caution.text);
      }
      return Status::Ok();
    }
    environment.out << output::FormatComparison(comparison, all_);
    return Status::Ok();
  }

  std::string before_path_;
  std::string after_path_;
  std::vector<std::string> definitions_;
  std::vector<std::string> assignments_;
  std::string report_path_;
  JsonOutput json_;
  bool overwrite_ = false;
  bool all_ = false;
};

}  // namespace

std::unique_ptr<Command> MakeCompareCommand() { return std::make_unique<CompareCommand>(); }

}  // namespace proofdrive::tools
