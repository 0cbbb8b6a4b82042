// proofdrive status: what a running daemon hears, records and warns of.
#include <algorithm>
#include <cmath>
#include <iterator>
#include <nlohmann/json.hpp>
#include <ostream>

#include "core/base/text.h"
#include "output/words/cautions.h"
#include "tools/daemon/control_client.h"
#include "tools/daemon/daemon_answers.h"
#include "tools/input/json_output.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

using nlohmann::json;

void ShowChannels(const json& status, std::ostream& out) {
  for (const json& channel : ObjectsOf(status, "channels")) {
    const std::string bus = TextOf(channel, "bus");
    const std::string state = TextOf(channel, "state");
    const std::uint64_t frames = CountOf(channel, "frames");
    out << "channel     " << TextOf(channel, "name") << (bus.empty() ? "" : " (" + bus + ")")
        << ": " << FormatCount(frames) << " frames" << (state.empty() ? "" : ", " + state) << "\n";
  }
}

// What is wrong and what to do about it, one problem after the other.
void ShowProblems(const json& status, std::ostream& out) {
  for (const json& problem : ObjectsOf(status, "problems")) {
    std::string urgency = TextOf(problem, "urgency");
    urgency.resize(12, ' ');
    out << urgency << TextOf(problem, "what") << "\n            " << TextOf(problem, "remedy")
        << "\n";
  }
}

// 0 is the worst; a severity of a later daemon comes last.
std::size_t Urgency(const json& warning) {
  constexpr std::string_view kWorstFirst[] = {"stop", "soon", "note"};
  return static_cast<std::size_t>(
      std::find(std::begin(kWorstFirst), std::end(kWorstFirst), TextOf(warning, "severity")) -
      std::begin(kWorstFirst));
}

// The worst first.
void ShowWarnings(const json& status, std::ostream& out) {
  std::size_t off = 0;
  std::size_t unknown = 0;
  std::vector<json> on;
  for (const json& warning : ObjectsOf(status, "warnings")) {
    const std::string state = TextOf(warning, "state");
    if (state == "off") ++off;
    if (state == "unknown") ++unknown;
    if (state == "on") on.push_back(warning);
  }
  std::stable_sort(on.begin(), on.end(),
                   [](const json& a, const json& b) { return Urgency(a) < Urgency(b); });
  for (const json& warning : on) {
    out << "warning on  " << TextOf(warning, "text") << " (" << TextOf(warning, "name") << ", "
        << TextOf(warning, "severity") << ") since " << TextOf(warning, "since") << "\n";
  }
  if (ObjectsOf(status, "warnings").empty()) return;
  out << "warnings    " << off << " off, " << unknown
      << " not known; off now is no proof of a repair\n"
      << "caution     " << output::CautionsFor(output::CautionContext::kTouch).front().text << "\n";
}

void ShowSpace(const json& status, std::ostream& out) {
  const auto space = status.find("space");
  if (space == status.end() || !space->is_object()) return;
  const bool known = space->contains("free_bytes") && (*space)["free_bytes"].is_number();
  out << "disk        "
      << (known ? FormatByteCount(CountOf(*space, "free_bytes")) + " free" : "cannot be looked at");
  const std::uint64_t budget = CountOf(*space, "budget_bytes");
  if (budget > 0) {
    out << "; sessions take " << FormatByteCount(CountOf(*space, "sessions_bytes"))
        << " of the budget of " << FormatByteCount(budget);
  }
  out << "\n";
  const auto deleted = space->find("deleted");
  if (deleted != space->end() && deleted->is_array() && !deleted->empty() &&
      deleted->back().is_string()) {
    out << "deleted     to keep the budget, last: " << Printable(deleted->back().get<std::string>())
        << "\n";
  }
}

void ShowRecordings(const json& status, std::ostream& out) {
  const auto show = [&](const char* key, const char* label, const char* nothing) {
    const auto found = status.find(key);
    if (found != status.end() && found->is_object()) {
      out << label << DescribeRecording(*found) << "\n";
    } else if (*nothing != '\0') {
      out << label << nothing << "\n";
    }
  };
  show("recording", "recording   ", "nothing; start with: proofdrive record start NAME");
  show("last_recording", "last        ", "");
}

class StatusCommand : public Command {
 public:
  std::string name() const override { return "status"; }
  std::string summary() const override { return "Say what a running daemon hears and records"; }
  std::string example() const override { return "proofdrive status"; }

  void AddOptions(OptionList& options) override {
    AddSocketOption(options, socket_);
    json_.AddTo(options);
  }

  Result<ExitCode> Run(Environment& environment) override {
    RETURN_IF_ERROR(json_.Check(environment.files));
    ASSIGN_OR_RETURN(const std::string answer, AskDaemon(socket_, "GET", "/api/status", ""));
    if (json_.given()) RETURN_IF_ERROR(json_.Take(environment, answer));
    if (json_.instead()) return ExitCode::kDone;
    ASSIGN_OR_RETURN(const json status, ParseAnswer(answer));
    Show(status, environment.out);
    return ExitCode::kDone;
  }

 private:
  static void Show(const json& status, std::ostream& out) {
    const auto rate = static_cast<std::uint64_t>(std::llround(NumberOf(status, "frames_per_s")));
    const bool asks = status.value("requests_allowed", false);
    out << "sources     " << TextOf(status, "sources")
        << (asks ? "; control units may be asked (--allow-requests)\n" : "; listening only\n")
        << "frames      " << FormatCount(CountOf(status, "frames")) << ", now " << FormatCount(rate)
        << " per second, " << FormatCount(CountOf(status, "dropped")) << " lost\n";
    const std::string page = TextOf(status, "page");
    if (!page.empty()) out << "page        " << page << "\n";
    ShowChannels(status, out);
    ShowRecordings(status, out);
    ShowSpace(status, out);
    ShowWarnings(status, out);
    ShowProblems(status, out);
  }

  std::string socket_;
  JsonOutput json_;
};

}  // namespace

std::unique_ptr<Command> MakeStatusCommand() { return std::make_unique<StatusCommand>(); }

}  // namespace proofdrive::tools
