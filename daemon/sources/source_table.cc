#include "daemon/sources/source_table.h"

#include "core/base/text.h"
#include "daemon/sources/bench_source.h"
#include "daemon/sources/can/can_sender.h"
#include "daemon/sources/replay_source.h"
#include "daemon/sources/socketcan_source.h"

namespace proofdrive::daemon {
namespace {

std::unique_ptr<FrameSender> OpenCanSender(const std::string& argument) {
  return MakeCanSender(argument.substr(0, argument.find('=')));
}

constexpr SourceKind kKinds[] = {
    {"socketcan", "socketcan:IFACE[=BUS]",
     "a CAN interface of this machine; BUS is its name in the definition files",
     CheckSocketCanArgument, MakeSocketCanSource, OpenCanSender},
    {"bench", "bench:SCENARIO[xSPEED]",
     "the invented bench vehicle, simulated; xmax = as fast as possible", CheckBenchArgument,
     MakeBenchSource},
    {"replay", "replay:FILE[xSPEED]", "a recorded session, at its own pace times SPEED",
     CheckReplayArgument, MakeReplaySource},
};

constexpr double kLargestSpeed = 10000;

std::string Possible() {
  std::string text;
  for (const SourceKind& kind : kKinds) {
    text += (text.empty() ? "" : ", ") + std::string(kind.syntax);
  }
  return text;
}

Result<double> ParseSpeed(const std::string& text) {
  if (text == "max") return 0.0;
  const auto speed = ParseDouble(text);
  if (speed.ok() && *speed > 0 && *speed <= kLargestSpeed) return *speed;
  return Status(ErrorKind::kInvalidArgument,
                "a speed of \"x" + text + "\" is not possible: write a number above 0 and up to " +
                    FormatDouble(kLargestSpeed) + ", as in x10, or xmax");
}

// Position of the "x" of a speed at the end, or npos.
std::size_t FindSpeed(const std::string& argument) {
  if (argument.ends_with("xmax")) return argument.size() - 4;
  const std::size_t x = argument.rfind('x');
  if (x == std::string::npos || !ParseDouble(argument.substr(x + 1)).ok()) {
    return std::string::npos;
  }
  return x;
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
  return Status(ErrorKind::kInvalidArgument,
                text + ": there is no such kind of source. Possible: " + Possible());
}

Result<PacedArgument> ParsePacedArgument(const std::string& argument) {
  const std::size_t x = FindSpeed(argument);
  if (x == std::string::npos) return PacedArgument{argument, 1.0};
  ASSIGN_OR_RETURN(const double speed, ParseSpeed(argument.substr(x + 1)));
  return PacedArgument{argument.substr(0, x), speed};
}

}  // namespace proofdrive::daemon
