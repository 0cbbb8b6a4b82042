#include "daemon/options/option_table.h"

#include <algorithm>

#include "core/base/control_socket.h"
#include "core/base/text.h"

namespace proofdrive::daemon {
namespace {

constexpr std::uint64_t kSmallestPart = 1'000'000;
constexpr std::uint64_t kSmallestBudget = 100'000'000;

Status Invalid(const std::string& message) { return Status(ErrorKind::kInvalidArgument, message); }

// --- one value each ---

Status SetSource(Options& options, const std::string& value) {
  ASSIGN_OR_RETURN(SourceSpec spec, ParseSource(value));
  for (const SourceSpec& other : options.sources) {
    if (other.identity == spec.identity) {
      return Invalid(value + ": " + other.text + " is the same source");
    }
  }
  options.sources.push_back(std::move(spec));
  return Status::Ok();
}

Status SetDefinitions(Options& options, const std::string& value) {
  if (value.empty()) return Invalid("the name of a file is missing");
  options.definitions.push_back(value);
  return Status::Ok();
}

Status SetSessions(Options& options, const std::string& value) {
  if (value.empty()) return Invalid("the name of a folder is missing");
  options.sessions = value;
  return Status::Ok();
}

Status SetRecord(Options& options, const std::string& value) {
  ASSIGN_OR_RETURN(options.policy.wish.name, ParseSessionName(value));
  return Status::Ok();
}

Status SetRecordWhen(Options& options, const std::string& value) {
  ASSIGN_OR_RETURN(options.policy.when, ParseRecordWhen(value));
  return Status::Ok();
}

Status SetKeepBefore(Options& options, const std::string& value) {
  ASSIGN_OR_RETURN(options.policy.keep_before, ParseDuration(value));
  if (options.policy.keep_before <= RecordingPolicy::kLongestLeadIn) return Status::Ok();
  return Invalid("at most " + FormatDuration(RecordingPolicy::kLongestLeadIn) +
                 " are kept in memory");
}

Result<Duration> AboveZero(const std::string& value, const char* example) {
  ASSIGN_OR_RETURN(const Duration duration, ParseDuration(value));
  if (duration > Duration(0)) return duration;
  return Invalid("must be longer than zero, for example \"" + std::string(example) + "\"");
}

Status SetEndAfter(Options& options, const std::string& value) {
  ASSIGN_OR_RETURN(options.policy.end_after, AboveZero(value, "60s"));
  return Status::Ok();
}

Status SetStage(Options& options, const std::string& value) {
  ASSIGN_OR_RETURN(options.policy.wish.stage, session::ParseStage(value));
  return Status::Ok();
}

Status SetLength(Options& options, const std::string& value) {
  ASSIGN_OR_RETURN(options.policy.wish.length, AboveZero(value, "10min"));
  return Status::Ok();
}

Status SetNotes(Options& options, const std::string& value) {
  options.policy.wish.notes = value;
  return Status::Ok();
}

Status SetPartTime(Options& options, const std::string& value) {
  ASSIGN_OR_RETURN(options.parts.time, AboveZero(value, "1h"));
  return Status::Ok();
}

Result<std::uint64_t> AtLeast(const std::string& value, std::uint64_t least, const char* example) {
  ASSIGN_OR_RETURN(const std::uint64_t bytes, ParseByteCount(value));
  if (bytes >= least) return bytes;
  return Invalid("must be at least " + FormatCount(least) + " bytes, for example \"" + example +
                 "\"");
}

Status SetPartSize(Options& options, const std::string& value) {
  ASSIGN_OR_RETURN(options.parts.bytes, AtLeast(value, kSmallestPart, "500 MB"));
  return Status::Ok();
}

Status SetBudget(Options& options, const std::string& value) {
  ASSIGN_OR_RETURN(options.budget, AtLeast(value, kSmallestBudget, "20 GB"));
  return Status::Ok();
}

Status SetAllowRequests(Options& options, const std::string& value) {
  options.allow_requests = value != "no";
  return Status::Ok();
}

Status SetSocket(Options& options, const std::string& value) {
  options.socket = value.empty() ? DefaultControlSocket() : value;
  return CheckControlSocketPath(options.socket);
}

Status SetPage(Options& options, const std::string& value) {
  ASSIGN_OR_RETURN(options.page, web::ParseListenAddress(value));
  return Status::Ok();
}

Status SetPageToken(Options& options, const std::string& value) {
  if (value.empty()) return Invalid("the name of a file is missing");
  options.page_token = value;
  return Status::Ok();
}

Status SetMqtt(Options& options, const std::string& value) {
  ASSIGN_OR_RETURN(options.mqtt.broker, mqtt::ParseBroker(value));
  return Status::Ok();
}

Status SetMqttTopic(Options& options, const std::string& value) {
  options.mqtt.prefix = value;
  return mqtt::CheckTopicPrefix(value);
}

Status SetMqttSignals(Options& options, const std::string& value) {
  for (const std::string& name : Split(value, ',')) {
    const std::string trimmed(Trim(name));
    if (trimmed.empty()) return Invalid("write names of signals, or all");
    options.mqtt_signals.push_back(trimmed);
  }
  return Status::Ok();
}

Status SetMqttUser(Options& options, const std::string& value) {
  options.mqtt.user = value;
  return Status::Ok();
}

Status SetMqttPassword(Options& options, const std::string& value) {
  options.mqtt.password_file = value;
  return Status::Ok();
}

Status SetMqttAuthority(Options& options, const std::string& value) {
  options.mqtt.authority_file = value;
  return Status::Ok();
}

Status SetLogLevel(Options& options, const std::string& value) {
  struct Level {
    std::string_view name;
    LogLevel level;
  };
  static constexpr Level kLevels[] = {{"debug", LogLevel::kDebug},
                                      {"info", LogLevel::kInfo},
                                      {"warning", LogLevel::kWarning},
                                      {"error", LogLevel::kError}};
  for (const Level& row : kLevels) {
    if (row.name != value) continue;
    options.log_level = row.level;
    return Status::Ok();
  }
  return Invalid("\"" + value + "\" is no level: write debug, info, warning or error");
}

constexpr std::string_view kInput = "What to record";
constexpr std::string_view kRecording = "Recording";
constexpr std::string_view kSpace = "Space on the disk";
constexpr std::string_view kRequests = "Requests";
constexpr std::string_view kControl = "Control";

constexpr std::string_view kPublishing = "Publishing";

constexpr OptionRule kRules[] = {
    {kInput, "source", "SRC", "socketcan:can0=pack",
     "what to listen to, see Sources; repeat it for several", SetSource, true},
    {kInput, "definitions", "F", "car.yaml",
     "definition file; may be repeated. Its text is stored in every session. Without one, frames "
     "are recorded and nothing is decoded",
     SetDefinitions, true, true},

    {kRecording, "sessions", "DIR", "recordings",
     "folder of the sessions, made when missing; this folder by default", SetSessions, false, true},
    {kRecording, "record", "NAME", "arrival",
     "record at once to `DIR/NAME.session` and end with the recording", SetRecord},
    {kRecording, "record-when", "CAUSE", "traffic",
     "begin to record by itself: `asked` (never, the default), `start` (as long as the daemon "
     "runs), `traffic` (while frames come), `warning` (while a warning is on)",
     SetRecordWhen},
    {kRecording, "keep-before", "TIME", "10s",
     "begin a recording with what came this long before its cause, at most 5min and 131,072 "
     "frames; by default 10s with `traffic` and `warning`, else nothing",
     SetKeepBefore},
    {kRecording, "end-after", "TIME", "60s",
     "with `traffic` and `warning`: end this long after the last frame, or after the last warning "
     "went off; by default 60s",
     SetEndAfter},
    {kRecording, "stage", "STAGE", "drive",
     "why: `arrival`, `before-repair`, `after-repair`, `drive`, `charge`, `after-update`",
     SetStage},
    {kRecording, "for", "TIME", "10min",
     "length of a recording in source time, as in `90s`, `10min`", SetLength},
    {kRecording, "notes", "TEXT", "new coolant pump", "a note stored with the recording", SetNotes},

    {kSpace, "part-time", "TIME", "1h", "begin another part of a recording after this long",
     SetPartTime},
    {kSpace, "part-size", "SIZE", "500 MB",
     "begin another part of a recording when its file is this large", SetPartSize},
    {kSpace, "budget", "SIZE", "20 GB",
     "delete the oldest recordings when those this program made in the folder take more than this, "
     "or when the disk is almost full; only if that helps, never one that is pinned or being "
     "recorded",
     SetBudget},

    {kRequests, "allow-requests", "", "",
     "ask control units for codes, versions and readings; without it no frame is ever sent",
     SetAllowRequests},

    {kControl, "socket", "PATH", "/run/proofdrive/proofdrive.sock",
     "control socket; by default `$XDG_RUNTIME_DIR/proofdrive.sock`, else "
     "`/tmp/proofdrive-UID.sock`",
     SetSocket, false, true},
    {kControl, "page", "[ADDR:]PORT", "8642",
     "offer the live page at this port of this machine, as in `8642`, or at an address others can "
     "reach, as in `192.168.7.2:8642`; see docs/page.md",
     SetPage},
    {kControl, "page-token", "FILE", "page-token",
     "file with the token the page asks for, made when missing; needed where others can reach the "
     "page, else there is a new token at each start",
     SetPageToken, false, true},
    {kControl, "log-level", "LEVEL", "info",
     "`debug`, `info`, `warning` or `error`, on standard error", SetLogLevel},

    {kPublishing, "mqtt", "HOST[:PORT]", "broker.local",
     "publish warnings and chosen signals to this MQTT broker; see docs/mqtt.md", SetMqtt},
    {kPublishing, "mqtt-signals", "NAMES", "state_of_charge,pack_voltage",
     "signals to publish, or `all`; may be repeated", SetMqttSignals, true},
    {kPublishing, "mqtt-topic", "PREFIX", "garage/car",
     "what every topic begins with; `proofdrive` by default", SetMqttTopic},
    {kPublishing, "mqtt-user", "NAME", "car", "name to log in with", SetMqttUser},
    {kPublishing, "mqtt-password", "FILE", "mqtt-password", "file whose first line is the password",
     SetMqttPassword, false, true},
    {kPublishing, "mqtt-ca", "FILE", "ca.pem",
     "use TLS and check the broker against these certificates", SetMqttAuthority, false, true},
};

// --- several values together ---

class Together {
 public:
  Together(Options& options, const std::vector<std::string_view>& given)
      : options_(options), given_(given) {}

  std::vector<OptionMistake> Check() {
    if (!Given("source")) {
      Mistake("source",
              "nothing to record: give at least one, for example --source socketcan:can0");
    }
    CheckRecord();
    CheckPage();
    CheckPolicy();
    CheckMqtt();
    if (options_.socket.empty()) options_.socket = DefaultControlSocket();
    return std::move(mistakes_);
  }

 private:
  bool Given(std::string_view option) const {
    return std::find(given_.begin(), given_.end(), option) != given_.end();
  }
  void Mistake(std::string_view option, std::string message) {
    mistakes_.push_back({option, std::move(message)});
  }

  void CheckMqtt() {
    for (const std::string_view option :
         {"mqtt-signals", "mqtt-topic", "mqtt-user", "mqtt-password", "mqtt-ca"}) {
      if (!Given(option) || Given("mqtt")) continue;
      Mistake(option, "says something about publishing: give --mqtt too");
    }
    if (Given("mqtt-password") && !Given("mqtt-user")) {
      Mistake("mqtt-password", "belongs to a name: give --mqtt-user too");
    }
  }

  void CheckPage() {
    if (!options_.page && !options_.page_token.empty()) {
      Mistake("page-token", "says something about the live page: give --page too");
    }
    if (options_.page && !options_.page->loopback && options_.page_token.empty()) {
      Mistake("page", "others can reach " + options_.page->Text() +
                          ", so a token is needed: give --page-token FILE; the file is made when "
                          "it is missing");
    }
  }

  void CheckRecord() {
    const bool by_itself = options_.policy.when != RecordWhen::kAsked;
    if (Given("record") && by_itself) {
      Mistake("record", "is one recording that begins at once: leave out --record-when");
    }
    for (const std::string_view option : {"stage", "for", "notes"}) {
      if (!Given(option) || Given("record") || by_itself) continue;
      Mistake(option, "says something about a recording: give --record or --record-when too");
    }
    if (!Given("record")) return;
    options_.record = options_.policy.wish;
    options_.policy.wish = {};
  }

  void CheckPolicy() {
    RecordingPolicy& policy = options_.policy;
    const bool ends = policy.when == RecordWhen::kTraffic || policy.when == RecordWhen::kWarning;
    if (Given("end-after") && !ends) {
      Mistake("end-after", "needs --record-when traffic or --record-when warning");
    }
    if (policy.when == RecordWhen::kWarning && !Given("definitions")) {
      Mistake("record-when", "warnings come from definition files: give --definitions too");
    }
    if (ends && !Given("keep-before")) policy.keep_before = RecordingPolicy::kUsualLeadIn;
  }

  Options& options_;
  const std::vector<std::string_view>& given_;
  std::vector<OptionMistake> mistakes_;
};

}  // namespace

std::span<const OptionRule> OptionRules() { return kRules; }

const OptionRule* FindOption(std::string_view name) {
  for (const OptionRule& rule : kRules) {
    if (rule.name == name) return &rule;
  }
  return nullptr;
}

std::vector<OptionMistake> CheckTogether(Options& options,
                                         const std::vector<std::string_view>& given) {
  return Together(options, given).Check();
}

}  // namespace proofdrive::daemon
