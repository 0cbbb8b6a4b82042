// proofdrive pin: keeps recordings from being deleted to make room.
#include <ostream>

#include "core/base/text.h"
#include "session/model/parts.h"
#include "session/model/pin.h"
#include "tools/input/session_input.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

class PinCommand : public Command {
 public:
  std::string name() const override { return "pin"; }
  std::string summary() const override {
    return "Keep sessions from being deleted when the recorder makes room";
  }
  std::string example() const override { return "proofdrive pin recordings/arrival.session"; }
  void AddOptions(OptionList& options) override {
    options.Add("SESSION", &paths_, "Sessions to pin; all parts of a recording together")
        .Required();
    options.Add("--remove", &remove_, "Take the pin away");
  }

  Result<ExitCode> Run(Environment& environment) override {
    for (const std::string& path : paths_) {
      RETURN_IF_ERROR(CheckNoFolder(environment.files, path));
      ASSIGN_OR_RETURN(const auto parts, session::FindParts(environment.files, path));
      const std::string first = session::FirstPartPath(parts.front().path);
      RETURN_IF_ERROR(session::SetPinned(environment.files, first, !remove_).WithContext(path));
      environment.out << Printable(first)
                      << (remove_ ? ": not pinned any more; it may be deleted to make room\n"
                                  : ": pinned; it is not deleted to make room\n");
    }
    return ExitCode::kDone;
  }

 private:
  std::vector<std::string> paths_;
  bool remove_ = false;
};

}  // namespace

std::unique_ptr<Command> MakePinCommand() { return std::make_unique<PinCommand>(); }

}  // namespace proofdrive::tools
