#include <algorithm>
#include <limits>
#include <ostream>

#include "output/text/session_info.h"
#include "output/text/session_table.h"
#include "tools/input/json_output.h"
#include "tools/input/session_input.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

class InfoCommand : public Command {
 public:
  std::string name() const override { return "info"; }
  std::string summary() const override { return "Say what sessions hold: when, state, channels"; }
  std::string example() const override { return "proofdrive info arrival.session"; }
  void AddOptions(OptionList& options) override {
    options.Add("SESSION", &paths_, "Sessions to describe; a folder: all sessions in it as a table")
        .Required();
    options.Add("--table", &table_, "One line for each session");
    options.Add("--all", &all_, "Show every stream and event");
    options.Add("--faults", &faults_,
                "Also read all frames and count counter, checksum and length faults");
    options.Add("--definitions", &definitions_,
                "Definition file to use for --faults instead of those stored; repeatable");
    json_.AddTo(options);
  }

  Result<ExitCode> Run(Environment& environment) override {
    RETURN_IF_ERROR(json_.Check(environment.files));
    for (const std::string& path : paths_) {
      ASSIGN_OR_RETURN(const auto sessions, SessionsNamed(environment.files, path));
      if (sessions.front() == path) {
        RETURN_IF_ERROR(Describe(environment, path));
        continue;
      }
      table_ = true;
      for (const std::string& session : sessions) DescribeOneOfMany(environment, session);
    }
    RETURN_IF_ERROR(Print(environment));
    const bool damaged =
        std::any_of(infos_.begin(), infos_.end(), [](const output::SessionInfo& info) {
          return output::StateOf(info) == session::State::kDamaged;
        });
    return damaged || !unreadable_.empty() ? ExitCode::kDamaged : ExitCode::kDone;
  }

 private:
  Status Describe(Environment& environment, const std::string& path) {
    ASSIGN_OR_RETURN(const auto reader, OpenSession(environment, path));
    infos_.push_back(output::InfoOf(*reader, path));
    infos_.back().measured = MeasuredAt(environment, path, reader->header());
    return faults_ ? CountFaults(environment, *reader, infos_.back()) : Status::Ok();
  }

  // One that cannot be read does not hide the others.
  void DescribeOneOfMany(Environment& environment, const std::string& path) {
    const auto reader = session::OpenRecording(environment.files, path);
    if (reader.ok()) {
      infos_.push_back(output::InfoOf(**reader, path));
      infos_.back().measured = MeasuredAt(environment, path, (*reader)->header());
    } else {
      unreadable_.push_back({path, reader.status().message()});
    }
  }

  Status CountFaults(Environment& environment, session::Reader& reader,
                     output::SessionInfo& info) const {
    ASSIGN_OR_RETURN(const auto set,
                     LoadDefinitions(environment, definitions_, info.path, reader.header()));
    if (set.definitions == nullptr) {
      return Status(ErrorKind::kNotFound,
                    info.path +
                        " has no definitions stored with it, which say where counters and "
                        "checksums are; give definition files with --definitions FILE");
    }
    std::vector<decoders::FrameFaults> faults;
    const auto all = [](const analysis::DecodedFrame&) { return true; };
    RETURN_IF_ERROR(analysis::DecodeSession(reader, set, all, &faults));
    info.faults = output::FramesWithFaults(*set.definitions, faults);
    info.losses = reader.losses();
    return Status::Ok();
  }

  Status Print(Environment& environment) const {
    if (json_.given()) RETURN_IF_ERROR(json_.Take(environment, output::SessionInfoJson(infos_)));
    if (json_.instead()) {
      for (const auto& one : unreadable_) Note(environment, one.why);
      return Status::Ok();
    }
    if (table_) {
      environment.out << output::FormatSessionTable(infos_, unreadable_);
      return Status::Ok();
    }
    output::InfoLimits limits;
    if (all_) limits.streams = limits.events = std::numeric_limits<std::size_t>::max();
    for (std::size_t i = 0; i < infos_.size(); ++i) {
      environment.out << (i == 0 ? "" : "\n") << output::FormatSessionInfo(infos_[i], limits);
    }
    return Status::Ok();
  }

  std::vector<std::string> paths_;
  std::vector<std::string> definitions_;
  std::vector<output::SessionInfo> infos_;
  std::vector<output::UnreadableSession> unreadable_;
  bool all_ = false;
  bool table_ = false;
  bool faults_ = false;
  JsonOutput json_;
};

}  // namespace

std::unique_ptr<Command> MakeInfoCommand() { return std::make_unique<InfoCommand>(); }

}  // namespace proofdrive::tools
