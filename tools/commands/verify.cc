#include <algorithm>
#include <ostream>

#include "core/base/text.h"
#include "output/json/loss_json.h"
#include "output/text/loss_text.h"
#include "tools/input/json_output.h"
#include "tools/input/session_input.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

bool IsDamaged(const output::Verified& one) {
  return one.report.state == session::State::kDamaged || output::AnyDataLoss(one.report.losses);
}

class VerifyCommand : public Command {
 public:
  std::string name() const override { return "verify"; }
  std::string summary() const override { return "Read everything in sessions and name every loss"; }
  std::string example() const override { return "proofdrive verify arrival.session"; }
  void AddOptions(OptionList& options) override {
    options.Add("SESSION", &paths_, "Sessions to check, or a folder of them; they are not changed")
        .Required();
    json_.AddTo(options);
  }

  Result<ExitCode> Run(Environment& environment) override {
    RETURN_IF_ERROR(json_.Check(environment.files));
    for (const std::string& path : paths_) {
      ASSIGN_OR_RETURN(const auto sessions, SessionsNamed(environment.files, path));
      const bool alone = paths_.size() == 1 && sessions.size() == 1;
      for (const std::string& session : sessions) {
        const Status status = Read(environment, session);
        if (status.ok()) continue;
        if (alone) return status;
        Note(environment, status.message());  // one that cannot be read does not hide the others
        ++unreadable_;
      }
    }
    if (json_.given()) RETURN_IF_ERROR(json_.Take(environment, output::VerifyJson(verified_)));
    const auto damaged = std::count_if(verified_.begin(), verified_.end(), IsDamaged);
    const bool many = verified_.size() + unreadable_ > 1;
    if (many && !json_.instead()) Conclude(environment, static_cast<std::size_t>(damaged));
    return damaged > 0 || unreadable_ > 0 ? ExitCode::kDamaged : ExitCode::kDone;
  }

 private:
  Status Read(Environment& environment, const std::string& path) {
    RETURN_IF_ERROR(OpenSession(environment, path).status());
    ASSIGN_OR_RETURN(session::VerifyReport report, session::Verify(environment.files, path));
    if (!json_.instead()) Print(environment, path, report);
    verified_.push_back({path, std::move(report)});
    return Status::Ok();
  }

  static void Print(Environment& environment, const std::string& path,
                    const session::VerifyReport& report) {
    environment.out << Printable(path) << ": " << session::StateName(report.state) << ", "
                    << CountOf(report.frames, "frame") << " and " << CountOf(report.events, "event")
                    << " can be read, "
                    << (report.losses.empty() ? "nothing is missing"
                                              : CountOf(report.losses.size(), "remark"))
                    << ".\n"
                    << output::FormatLosses(report.losses);
  }

  void Conclude(Environment& environment, std::size_t damaged) const {
    environment.out << CountOf(verified_.size() + unreadable_, "session") << ": "
                    << verified_.size() - damaged << " with nothing lost, " << damaged
                    << " with losses, " << unreadable_ << " unreadable.\n";
  }

  std::vector<std::string> paths_;
  std::vector<output::Verified> verified_;
  std::size_t unreadable_ = 0;
  JsonOutput json_;
};

}  // namespace

std::unique_ptr<Command> MakeVerifyCommand() { return std::make_unique<VerifyCommand>(); }

}  // namespace proofdrive::tools
