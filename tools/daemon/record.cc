// proofdrive record start|stop: begins and ends a recording of a running daemon.
#include <nlohmann/json.hpp>
#include <ostream>

#include "core/base/json.h"
#include "core/base/text.h"
#include "core/base/time.h"
#include "session/model/header.h"
#include "tools/daemon/control_client.h"
#include "tools/daemon/daemon_answers.h"
#include "tools/input/json_output.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

class RecordCommand : public Command {
 public:
  std::string name() const override { return "record"; }
  std::string summary() const override { return "Start or stop a recording of a running daemon"; }
  std::string example() const override {
    return "proofdrive record start before-1 --stage before-repair --for 10min";
  }

  void AddOptions(OptionList& options) override {
    OptionList& start = options.AddCommand("start", start_, "begin to record", example());
    start.Add("NAME", &name_, "of the session; made from the date when left out");
    start
        .Add("--stage", &stage_,
             "why it is recorded: arrival, before-repair, after-repair, drive, charge, "
             "after-update")
        .Called("STAGE");
    start.Add("--notes", &notes_, "a note stored with the recording").Called("TEXT");
    start.Add("--for", &length_, "length in source time, as in 10min; else until stopped")
        .Called("TIME");
    OptionList& stop =
        options.AddCommand("stop", stop_, "complete the recording", "proofdrive record stop");
    for (OptionList* list : {&start, &stop}) AddSocketOption(*list, socket_);
    start_json_.AddTo(start);
    stop_json_.AddTo(stop);
  }

  Result<ExitCode> Run(Environment& environment) override {
    RETURN_IF_ERROR(start_json_.Check(environment.files));
    RETURN_IF_ERROR(stop_json_.Check(environment.files));
    return start_ ? Start(environment) : Stop(environment);
  }

 private:
  Result<ExitCode> Start(Environment& environment) {
    nlohmann::json body{{"name", name_}, {"stage", stage_}, {"notes", notes_}};
    if (!length_.empty()) {
      const auto length = ParseDuration(length_);
      if (!length.ok()) return length.status().WithContext("--for");
      body["for_s"] = ToSeconds(*length);
    }
    ASSIGN_OR_RETURN(const std::string answer,
                     AskDaemon(socket_, "POST", "/api/record/start", DumpJson(body)));
    if (start_json_.given()) RETURN_IF_ERROR(start_json_.Take(environment, answer));
    if (start_json_.instead()) return ExitCode::kDone;
    ASSIGN_OR_RETURN(const nlohmann::json object, ParseAnswer(answer));
    environment.out << "Recording to " << TextOf(object, "path") << "\n";
    return ExitCode::kDone;
  }

  Result<ExitCode> Stop(Environment& environment) {
    ASSIGN_OR_RETURN(const std::string answer, AskDaemon(socket_, "POST", "/api/record/stop", ""));
    if (stop_json_.given()) RETURN_IF_ERROR(stop_json_.Take(environment, answer));
    if (stop_json_.instead()) return ExitCode::kDone;
    ASSIGN_OR_RETURN(const nlohmann::json object, ParseAnswer(answer));
    environment.out << DescribeRecording(object) << "\n";
    return ExitCode::kDone;
  }

  bool start_ = false;
  bool stop_ = false;
  std::string name_;
  std::string stage_;
  std::string notes_;
  std::string length_;
  std::string socket_;
  JsonOutput start_json_, stop_json_;
};

}  // namespace

std::unique_ptr<Command> MakeRecordCommand() { return std::make_unique<RecordCommand>(); }

}  // namespace proofdrive::tools
