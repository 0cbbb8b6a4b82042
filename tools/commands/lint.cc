#include <ostream>

#include "analysis/fit/judge_fit.h"
#include "core/base/text.h"
#include "decoders/authoring/diagnostics.h"
#include "decoders/language/loader.h"
#include "output/json/lint_json.h"
#include "output/text/fit_text.h"
#include "output/text/guesses_text.h"
#include "tools/input/json_output.h"
#include "tools/input/session_input.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

class LintCommand : public Command {
 public:
  std::string name() const override { return "lint"; }
  std::string summary() const override { return "Check definition files, also against a session"; }
  std::string example() const override {
    return "proofdrive lint decoders/library/bramble-seven.yaml --against arrival.session";
  }
  void AddOptions(OptionList& options) override {
    options.Add("DEFINITIONS", &paths_, "Definition files; several are merged").Required();
    options.Add("--against", &session_, "Session to hold them against: what does not fit?");
    json_.AddTo(options);
  }

  Result<ExitCode> Run(Environment& environment) override {
    RETURN_IF_ERROR(json_.Check(environment.files));
    const decoders::LoadResult loaded = decoders::LoadDefinitionFiles(environment.files, paths_);
    if (session_.empty() || !loaded.ok()) {
      RETURN_IF_ERROR(Print(environment, loaded, nullptr));
      return loaded.ok() ? ExitCode::kDone : ExitCode::kUsage;
    }
    ASSIGN_OR_RETURN(auto reader, OpenSession(environment, session_));
    ASSIGN_OR_RETURN(const auto fit, analysis::MeasureFit(*reader, loaded.definitions));
    RETURN_IF_ERROR(Print(environment, loaded, &fit));
    if (ReportLosses(environment, session_, *reader)) return ExitCode::kDamaged;
    return analysis::JudgeFit(fit).problems > 0 ? ExitCode::kOpen : ExitCode::kDone;
  }

 private:
  Status Print(Environment& environment, const decoders::LoadResult& loaded,
               const analysis::SessionFit* fit) const {
    if (json_.given()) {
      RETURN_IF_ERROR(json_.Take(
          environment, output::LintJson(loaded.definitions.get(), loaded.diagnostics, fit)));
    }
    if (!json_.instead()) PrintText(environment, loaded, fit);
    return Status::Ok();
  }

  static void PrintText(Environment& environment, const decoders::LoadResult& loaded,
                        const analysis::SessionFit* fit) {
    environment.out << decoders::FormatDiagnostics(loaded.diagnostics);
    if (fit == nullptr) {
      environment.out << Summary(loaded);
    } else {
      environment.out << (loaded.diagnostics.empty() ? "" : "\n") << output::FormatFit(*fit);
    }
    if (!loaded.ok()) return;
    const std::string guesses = output::FormatGuesses(*loaded.definitions);
    environment.out << (guesses.empty() ? "" : "\n") << guesses;
  }

  static std::string Summary(const decoders::LoadResult& loaded) {
    std::size_t errors = 0;
    for (const auto& one : loaded.diagnostics) {
      if (one.level == decoders::DiagnosticLevel::kError) ++errors;
    }
    const std::size_t doubts = loaded.diagnostics.size() - errors;
    const std::string doubtful = doubts == 0 ? "" : ", " + CountOf(doubts, "doubtful place");
    if (!loaded.ok())
      return CountOf(errors, "mistake") + doubtful + ": nothing can be decoded yet.\n";
    const decoders::Definitions& definitions = *loaded.definitions;
    return (doubts == 0 ? "No mistakes: " : "Usable: ") +
           CountOf(definitions.frames.size(), "frame") + ", " +
           CountOf(definitions.signals.size(), "signal") + ", " +
           CountOf(definitions.warnings.size(), "warning") + doubtful + ".\n";
  }

  std::vector<std::string> paths_;
  std::string session_;
  JsonOutput json_;
};

}  // namespace

std::unique_ptr<Command> MakeLintCommand() { return std::make_unique<LintCommand>(); }

}  // namespace proofdrive::tools
