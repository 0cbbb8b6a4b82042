#include <CLI/CLI.hpp>
#include <ostream>

#include "core/base/text.h"
#include "output/loss_text.h"
#include "tools/commands/commands.h"
#include "tools/session_input.h"

namespace proofdrive::tools {
namespace {

class VerifyCommand : public Command {
 public:
  std::string name() const override { return "verify"; }
  std::string summary() const override {
    return "Read everything in a session and name every loss";
  }
  std::string example() const override { return "proofdrive verify arrival.session"; }
  void AddOptions(CLI::App& app) override {
    app.add_option("SESSION", path_, "Session to check; it is not changed")->required();
    app.add_flag("--json", json_, "Print the result as JSON");
  }

  Result<ExitCode> Run(Environment& environment) override {
    RETURN_IF_ERROR(OpenSession(environment, path_).status());
    ASSIGN_OR_RETURN(const session::VerifyReport report, session::Verify(environment.files, path_));
    if (json_) {
      environment.out << output::VerifyJson(path_, report);
    } else {
      environment.out << Printable(path_) << ": " << session::StateName(report.state) << ", "
                      << CountOf(report.frames, "frame") << " and "
                      << CountOf(report.events, "event") << " can be read, "
                      << (report.losses.empty() ? "nothing is missing"
                                                : CountOf(report.losses.size(), "remark"))
                      << ".\n"
                      << output::FormatLosses(report.losses);
    }
    const bool damaged =
        report.state == session::State::kDamaged || output::AnyDataLoss(report.losses);
    return damaged ? ExitCode::kDamaged : ExitCode::kDone;
  }

 private:
  std::string path_;
  bool json_ = false;
};

}  // namespace

std::unique_ptr<Command> MakeVerifyCommand() { return std::make_unique<VerifyCommand>(); }

}  // namespace proofdrive::tools
