#include <algorithm>
#include <optional>
#include <ostream>

#include "analysis/checking/guesses.h"
#include "analysis/findings/coverage.h"
#include "analysis/findings/findings_of.h"
#include "analysis/stretches/check_session.h"
#include "analysis/warned/warned_checks.h"
#include "output/report/session_report.h"
#include "output/report/signal_figures.h"
#include "output/text/checks_text.h"
#include "tools/input/output_file.h"
#include "tools/input/report_output.h"
#include "tools/input/session_input.h"
#include "tools/input/settings_option.h"
#include "tools/input/signal_selection.h"
#include "tools/shell/command.h"
#include "tools/shell/progress.h"

namespace proofdrive::tools {
namespace {

class ReportCommand : public Command {
 public:
  std::string name() const override { return "report"; }
  std::string summary() const override {
    return "Write one session as a page to read and print: what was on, figures, plots";
  }
  std::string example() const override {
    return "proofdrive report drive.session --out drive.html --signals pack_current,vehicle_speed";
  }
  void AddOptions(OptionList& options) override {
    options.Add("SESSION", &path_, "Session to report").Required();
    options.Add("--out", &out_, "HTML file to write; it needs no network and can be printed")
        .Required();
    options.Add("--definitions", &definitions_,
                "Definition file to use instead of those stored with the session; repeatable");
    options
        .Add("--signals", &signals_,
             "Signals to plot, separated by commas; without it those of the warnings and "
             "those with a role")
        .SeparatedBy(',');
    AddSettingsOption(options, assignments_);
    AddOverwriteOption(options, overwrite_);
  }

  Result<ExitCode> Run(Environment& environment) override {
    const OutputFile output{"--out", out_, overwrite_};
    RETURN_IF_ERROR(CheckOutput(environment.files, output));
    ASSIGN_OR_RETURN(const analysis::CheckSettings settings, SettingsOf(assignments_));
    ASSIGN_OR_RETURN(auto reader, OpenSession(environment, path_));
    ASSIGN_OR_RETURN(const auto set,
                     LoadDefinitions(environment, definitions_, path_, reader->header()));
    ASSIGN_OR_RETURN(std::vector<std::uint32_t> signals, Chosen(set));
    const auto measured = MeasuredAt(environment, path_, reader->header());
    ASSIGN_OR_RETURN(auto read, Read(environment, *reader, set, settings, measured));
    const auto& [findings, checks] = read;
    ASSIGN_OR_RETURN(auto file, FileOf(environment, *reader));
    const std::string html = output::SessionReport(
        {findings, std::move(file), Software(), std::move(signals), checks, measured});
    RETURN_IF_ERROR(WriteOutput(environment.files, output, html));
    environment.out << output::SessionHeadline(findings) << "\n";
    const analysis::Coverage coverage = analysis::CoverageOf(findings);
    if (!checks.empty() && !coverage.Nothing()) {
      environment.out << output::CheckHeadline(checks) << "\n";
    }
    Note(environment, "wrote " + out_ + "; open it in a browser, it needs no network.");
    if (ReportLosses(environment, path_, *reader)) return ExitCode::kDamaged;
    if (coverage.Nothing()) return ExitCode::kUnproven;
    return AnyOn(findings) ? ExitCode::kOpen : ExitCode::kDone;
  }

 private:
  Result<std::vector<std::uint32_t>> Chosen(const analysis::DefinitionSet& set) const {
    std::vector<std::uint32_t> signals;
    if (signals_.empty()) return signals;
    if (set.definitions == nullptr) {
      return Status(ErrorKind::kInvalidArgument,
                    "--signals needs definitions: none are stored with " + path_ +
                        "; give them with --definitions");
    }
    ASSIGN_OR_RETURN(const auto selection, SignalSelection::Create(*set.definitions, signals_));
    const std::vector<bool> chosen = selection.Signals();
    for (std::uint32_t i = 0; i < chosen.size(); ++i) {
      if (chosen[i]) signals.push_back(i);
    }
    return signals;
  }

  struct WhatWasRead {
    analysis::SessionFindings findings;
    std::vector<analysis::CheckResult> checks;  // none without definitions: nothing could be said
  };

  // Both in one pass. What was measured by hand settles how sure the definitions are.
  Result<WhatWasRead> Read(Environment& environment, session::Reader& reader,
                           const analysis::DefinitionSet& set,
                           const analysis::CheckSettings& settings,
                           const std::vector<session::Measurement>& measured) const {
    Progress progress(environment, "read " + FileNameOf(path_));
    analysis::FindingsOptions options;
    options.curve_points = output::kCurvePoints;
    options.windows = false;
    analysis::FindingsTaker findings(reader, set, options);
    analysis::Pass pass(reader, set.definitions);
    pass.Add(findings);
    std::optional<analysis::CheckTaker> checks;
    if (set.definitions != nullptr) pass.Add(checks.emplace(reader, set, settings, measured));
    RETURN_IF_ERROR(pass.Run(progress.Function()));
    WhatWasRead read;
    if (checks) read.checks = checks->Finish();
    checks.reset();
    read.findings = findings.Finish(pass);
    read.findings.definitions = analysis::SettledBy(read.checks, read.findings.definitions);
    analysis::HoldAgainstWarnings(read.findings, read.checks);
    return read;
  }

  static bool AnyOn(const analysis::SessionFindings& findings) {
    return std::any_of(findings.warnings.begin(), findings.warnings.end(), [](const auto& history) {
      return history.at_end == decoders::WarningStateKind::kOn;
    });
  }

  std::string path_;
  std::string out_;
  std::vector<std::string> definitions_;
  std::vector<std::string> signals_;
  std::vector<std::string> assignments_;
  bool overwrite_ = false;
};

}  // namespace

std::unique_ptr<Command> MakeReportCommand() { return std::make_unique<ReportCommand>(); }

}  // namespace proofdrive::tools
