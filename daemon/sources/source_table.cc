#include "daemon/sources/source_table.h"

#include "bench/scenarios/scenarios.h"
#include "core/base/text.h"
#include "daemon/sources/bench_source.h"
#include "daemon/sources/can/can_sender.h"
#include "daemon/sources/replay_source.h"
#include "daemon/sources/socketcan_source.h"
#include "session/model/names.h"

namespace proofdrive::daemon {
namespace {

std::unique_ptr<FrameSender> OpenCanSender(const std::string& argument) {
  return MakeCanSender(argument.substr(0, argument.find('=')));
}

constexpr SourceKind kKinds[] = {
    {"socketcan", "socketcan:IFACE[=BUS]",
     "a CAN interface of this machine; BUS is its name in the definition files",
     CheckSocketCanArgument, MakeSocketCanSource, OpenCanSender},
    {"bench", "bench:SCENARIO[@SPEED]",
     "the invented bench vehicle, simulated; @max = as fast as possible", CheckBenchArgument,
     MakeBenchSource},
    {"replay", "replay:FILE[@SPEED]", "a recorded session, at its own pace times SPEED",
     CheckReplayArgument, MakeReplaySource},
};

std::string Possible() {
  std::string text;
  for (const SourceKind& kind : kKinds) {
    text += (text.empty() ? "" : ", ") + std::string(kind.syntax);
  }
  return text;
}

// What somebody meant who left out the kind: "can0".
std::string Meant(const std::string& text) {
  if (text.find(':') != std::string::npos || text.empty()) return "";
  const std::string name = text.substr(0, text.find('@'));
  const char* kind = bench::HasScenario(name)                  ? "bench:"
                     : name.ends_with(session::kSessionEnding) ? "replay:"
                                                               : "socketcan:";
  return " Did you mean " + (kind + text) + "?";
}

}  // namespace

std::span<const SourceKind> SourceKinds() { return kKinds; }

Result<SourceSpec> ParseSource(const std::string& text) {
  const std::size_t colon = text.find(':');
  const std::string scheme = text.substr(0, colon);
  for (const SourceKind& kind : kKinds) {
    if (colon == std::string::npos || scheme != kind.scheme) continue;
    SourceSpec spec{text, text.substr(colon + 1), {}, &kind};
    auto identity = kind.check(spec.argument);
    if (!identity.ok()) return identity.status().WithContext(text);
    spec.identity = scheme + ":" + *identity;
    return spec;
  }
  return Status(ErrorKind::kInvalidArgument, text + ": there is no such kind of source." +
                                                 Meant(text) + " Possible: " + Possible());
}

}  // namespace proofdrive::daemon
