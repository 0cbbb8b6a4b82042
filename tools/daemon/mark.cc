// proofdrive mark TEXT: drops a note in time into the recording under way.
#include <nlohmann/json.hpp>
#include <ostream>

#include "core/base/json.h"
#include "tools/daemon/control_client.h"
#include "tools/daemon/daemon_answers.h"
#include "tools/input/json_output.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

class MarkCommand : public Command {
 public:
  std::string name() const override { return "mark"; }
  std::string summary() const override { return "Note what happens now in the recording"; }
  std::string example() const override { return "proofdrive mark \"pump switched on by hand\""; }

  void AddOptions(OptionList& options) override {
    options.Add("TEXT", &text_, "what happened").Required();
    AddSocketOption(options, socket_);
    json_.AddTo(options);
  }

  Result<ExitCode> Run(Environment& environment) override {
    RETURN_IF_ERROR(json_.Check(environment.files));
    const std::string body = DumpJson(nlohmann::json{{"text", text_}});
    ASSIGN_OR_RETURN(const std::string answer, AskDaemon(socket_, "POST", "/api/mark", body));
    if (json_.given()) RETURN_IF_ERROR(json_.Take(environment, answer));
    if (json_.instead()) return ExitCode::kDone;
    ASSIGN_OR_RETURN(const nlohmann::json object, ParseAnswer(answer));
    environment.out << "Marked at " << TextOf(object, "time") << ": " << TextOf(object, "text")
                    << "\n";
    return ExitCode::kDone;
  }

 private:
  std::string text_;
  std::string socket_;
  JsonOutput json_;
};

}  // namespace

std::unique_ptr<Command> MakeMarkCommand() { return std::make_unique<MarkCommand>(); }

}  // namespace proofdrive::tools
