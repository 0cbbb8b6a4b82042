#include "daemon/options.h"

#include <unistd.h>

#include <CLI/CLI.hpp>
#include <cstdlib>

#include "core/base/control_socket.h"

namespace proofdrive::daemon {
namespace {

constexpr char kDescription[] =
    "proofdrived: records a vehicle's CAN network and decodes it while it listens.\n"
    "It only listens: no frame is ever sent.";

constexpr char kExample[] =
    "Example:\n"
    "  proofdrived --source bench:coolant-leakx10 --definitions decoders/library/bramble-e3.yaml "
    "\\\n"
    "      --sessions recordings --record arrival --stage arrival --for 2min";

// The words of the command line before they are checked.
struct Words {
  std::vector<std::string> sources;
  std::vector<std::string> definitions;
  std::string sessions = ".";
  std::string record;
  std::string stage;
  std::string length;
  std::string notes;
  std::string socket;
  std::string log_level = "info";
};

std::string SourceHelp() {
  std::string text = "what to record, may be repeated:";
  for (const SourceKind& kind : SourceKinds()) {
    text += "\n" + std::string(kind.syntax) + ": " + std::string(kind.help);
  }
  return text;
}

void AddOptions(CLI::App& app, Words& words) {
  app.add_option("--source", words.sources, SourceHelp())->type_name("SRC");
  app.add_option("--definitions", words.definitions, "definition file, may be repeated")
      ->type_name("F");
  app.add_option("--sessions", words.sessions, "folder for sessions (default: this folder)")
      ->type_name("DIR");
  app.add_option("--record", words.record, "record at once to NAME.session, end with the recording")
      ->type_name("NAME");
  app.add_option("--stage", words.stage,
                 "why it is recorded: arrival, before-repair, after-repair, drive, charge, "
                 "after-update")
      ->type_name("STAGE");
  app.add_option("--for", words.length, "length of the recording in source time, as in 10min")
      ->type_name("TIME");
  app.add_option("--notes", words.notes, "a note stored with the recording")->type_name("TEXT");
  app.add_option("--socket", words.socket,
                 "control socket (default: $XDG_RUNTIME_DIR/proofdrive.sock)")
      ->type_name("PATH");
  app.add_option("--log-level", words.log_level, "debug, info, warning or error")
      ->type_name("LEVEL");
  app.set_version_flag("--version", PROOFDRIVE_VERSION);
  app.footer(kExample);
}

Status Invalid(const std::string& message) { return Status(ErrorKind::kInvalidArgument, message); }

Result<LogLevel> ParseLogLevel(const std::string& text) {
  if (text == "debug") return LogLevel::kDebug;
  if (text == "info") return LogLevel::kInfo;
  if (text == "warning") return LogLevel::kWarning;
  if (text == "error") return LogLevel::kError;
  return Invalid("--log-level " + text + ": write debug, info, warning or error");
}

Result<std::vector<SourceSpec>> CheckSources(const std::vector<std::string>& texts) {
  if (texts.empty()) {
    return Invalid("nothing to record: give at least one --source, for example --source " +
                   std::string("socketcan:can0"));
  }
  std::vector<SourceSpec> specs;
  for (const std::string& text : texts) {
    ASSIGN_OR_RETURN(SourceSpec spec, ParseSource(text));
    for (const SourceSpec& other : specs) {
      if (other.identity == spec.identity) {
        return Invalid("--source " + text + ": " + other.text + " is the same source");
      }
    }
    specs.push_back(std::move(spec));
  }
  return specs;
}

Status NeedsRecord(const std::string& option, const std::string& value) {
  if (value.empty()) return Status::Ok();
  return Invalid(option + " says something about a recording: give --record NAME too");
}

Result<std::optional<RecordRequest>> CheckRecord(const Words& words) {
  if (words.record.empty()) {
    RETURN_IF_ERROR(NeedsRecord("--stage", words.stage));
    RETURN_IF_ERROR(NeedsRecord("--for", words.length));
    RETURN_IF_ERROR(NeedsRecord("--notes", words.notes));
    return std::optional<RecordRequest>();
  }
  RecordRequest request;
  request.name = words.record;
  request.notes = words.notes;
  RETURN_IF_ERROR(CheckSessionName(words.record).WithContext("--record"));
  if (!words.stage.empty()) {
    const auto stage = session::ParseStage(words.stage);
    if (!stage.ok()) return stage.status().WithContext("--stage");
    request.stage = *stage;
  }
  if (!words.length.empty()) {
    const auto length = ParseDuration(words.length);
    if (!length.ok()) return length.status().WithContext("--for");
    ASSIGN_OR_RETURN(request.length, CheckLength(*length, "--for"));
  }
  return std::optional<RecordRequest>(std::move(request));
}

Result<Options> Check(const Words& words) {
  Options options;
  ASSIGN_OR_RETURN(options.sources, CheckSources(words.sources));
  ASSIGN_OR_RETURN(options.record, CheckRecord(words));
  ASSIGN_OR_RETURN(options.log_level, ParseLogLevel(words.log_level));
  options.definitions = words.definitions;
  if (words.sessions.empty()) return Invalid("--sessions: the name of a folder is missing");
  options.sessions = words.sessions;
  options.socket = words.socket.empty() ? DefaultControlSocket() : words.socket;
  RETURN_IF_ERROR(CheckControlSocketPath(options.socket).WithContext("--socket"));
  return options;
}

ParsedOptions Answer(const std::string& text) { return {text, {}}; }

}  // namespace

Result<ParsedOptions> ParseOptions(int argc, const char* const* argv) {
  CLI::App app(kDescription, "proofdrived");
  Words words;
  AddOptions(app, words);
  try {
    app.parse(argc, argv);
  } catch (const CLI::CallForHelp&) {
    return Answer(app.help());
  } catch (const CLI::CallForVersion&) {
    return Answer(std::string("proofdrived ") + PROOFDRIVE_VERSION + "\n");
  } catch (const CLI::ParseError& error) {
    return Invalid(std::string(error.what()) + ". Try: proofdrived --help");
  }
  ASSIGN_OR_RETURN(Options options, Check(words));
  return ParsedOptions{std::nullopt, std::move(options)};
}

}  // namespace proofdrive::daemon
