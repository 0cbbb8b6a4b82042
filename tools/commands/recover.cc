#include <ostream>

#include "core/base/text.h"
#include "output/json/loss_json.h"
#include "output/text/loss_text.h"
#include "session/model/names.h"
#include "tools/input/json_output.h"
#include "tools/input/session_input.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

class RecoverCommand : public Command {
 public:
  std::string name() const override { return "recover"; }
  std::string summary() const override {
    return "Make a complete session from an interrupted or damaged one";
  }
  std::string example() const override {
    return "proofdrive recover arrival.session --out arrival-recovered.session";
  }
  void AddOptions(OptionList& options) override {
    options.Add("SESSION", &path_, "Session to recover; it is not changed").Required();
    options.Add("--out", &output_,
                "New session; without it NAME.recovered.session beside the old one");
    json_.AddTo(options);
  }

  Result<ExitCode> Run(Environment& environment) override {
    RETURN_IF_ERROR(json_.Check(environment.files));
    RETURN_IF_ERROR(CheckNoFolder(environment.files, path_));
    ASSIGN_OR_RETURN(const bool whole, NothingToRecover(environment));
    if (whole) return ExitCode::kDone;
    const std::string output = output_.empty() ? session::RecoveredPath(path_) : output_;
    if (environment.files.Exists(output)) {
      return Status(ErrorKind::kAlreadyExists,
                    output + " exists already; nothing was changed. Give another name with --out");
    }
    ASSIGN_OR_RETURN(const session::RecoverReport report,
                     session::Recover(environment.files, path_, output));
    if (json_.given()) {
      RETURN_IF_ERROR(json_.Take(environment, output::RecoverJson(path_, report)));
    }
    if (!json_.instead()) {
      environment.out << Printable(report.output) << ": complete, "
                      << CountOf(report.frames, "frame") << " and "
                      << CountOf(report.events, "event") << ". " << Printable(path_)
                      << " was not changed; keep it.\n"
                      << output::FormatLosses(report.losses);
    }
    return output::AnyDataLoss(report.losses) ? ExitCode::kDamaged : ExitCode::kDone;
  }

 private:
  Result<bool> NothingToRecover(Environment& environment) const {
    ASSIGN_OR_RETURN(const session::VerifyReport found, session::Verify(environment.files, path_));
    if (found.state != session::State::kComplete || output::AnyDataLoss(found.losses)) return false;
    if (json_.given()) {
      session::RecoverReport report;
      report.frames = found.frames;
      report.events = found.events;
      RETURN_IF_ERROR(json_.Take(environment, output::RecoverJson(path_, report)));
    }
    if (!json_.instead()) {
      environment.out << Printable(path_) << " is complete; there is nothing to recover.\n";
    }
    return true;
  }

  std::string path_;
  std::string output_;
  JsonOutput json_;
};

}  // namespace

std::unique_ptr<Command> MakeRecoverCommand() { return std::make_unique<RecoverCommand>(); }

}  // namespace proofdrive::tools
