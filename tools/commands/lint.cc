#include <CLI/CLI.hpp>
#include <ostream>

#include "core/base/text.h"
#include "decoders/definitions/diagnostics.h"
#include "decoders/definitions/loader.h"
#include "output/json.h"
#include "tools/commands/commands.h"

namespace proofdrive::tools {
namespace {

class LintCommand : public Command {
 public:
  std::string name() const override { return "lint"; }
  std::string summary() const override { return "Check definition files and show every mistake"; }
  std::string example() const override {
    return "proofdrive lint decoders/library/bramble-e3.yaml";
  }
  void AddOptions(CLI::App& app) override {
    app.add_option("DEFINITIONS", paths_, "Definition files; several are merged")->required();
    app.add_flag("--json", json_, "Print the findings as JSON");
  }

  Result<ExitCode> Run(Environment& environment) override {
    const decoders::LoadResult loaded = decoders::LoadDefinitionFiles(environment.files, paths_);
    if (json_) {
      environment.out << output::LintJson(loaded.definitions.get(), loaded.diagnostics);
    } else {
      environment.out << decoders::FormatDiagnostics(loaded.diagnostics) << Summary(loaded);
    }
    return loaded.ok() ? ExitCode::kDone : ExitCode::kUsage;
  }

 private:
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
  bool json_ = false;
};

}  // namespace

std::unique_ptr<Command> MakeLintCommand() { return std::make_unique<LintCommand>(); }

}  // namespace proofdrive::tools
