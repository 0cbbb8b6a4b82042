#include "analysis/agreement/temperatures.h"

#include <algorithm>
#include <cmath>
#include <optional>

#include "analysis/checking/rest.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

constexpr double kTail = 300;       // s at the end of the rest
constexpr double kAsleep = 600;     // s of silence that do not end a rest: parked networks sleep
constexpr double kSideBySide = 1;   // h for two places of one pack or one loop
constexpr double kPackAndLoop = 3;  // h for the coolant that stands in the pack's plates

// The median of all its places in the last minutes of a rest.
std::optional<double> AtEndOf(const CheckInput& input, decoders::RoleName role,
                              const Interval& rest) {
  const RoleSignal* signal = input.Find(role);
  if (signal == nullptr) return std::nullopt;
  std::vector<double> values;
  for (const Track& track : signal->elements) {
    const Track tail = Between(track, std::max(rest.from_s, rest.to_s - kTail), rest.to_s);
    if (!tail.empty()) values.push_back(Median(tail.value));
  }
  if (values.empty()) return std::nullopt;
  return Median(std::move(values));
}

struct Neighbours {
  decoders::RoleName one, other;
  double hours;
  double share;  // of definitions.temperature
};
constexpr Neighbours kNeighbours[] = {
    {"coolant inlet temperature", "coolant outlet temperature", kSideBySide, 1},
    {"module temperatures", "cell temperatures", kSideBySide, 1},
    {"cell temperatures", "coolant outlet temperature", kPackAndLoop, 1.5},
};

void Compare(Agreement& agreement, const Neighbours& pair, const Interval& rest) {
  const CheckInput& input = agreement.input();
  const auto one = AtEndOf(input, pair.one, rest);
  const auto other = AtEndOf(input, pair.other, rest);
  if (!one || !other) return;
  const double most = pair.share * agreement.draft().Limit("definitions.temperature");
  const std::string both = "after a rest the " + std::string(pair.one) +
                           (pair.one == "coolant inlet temperature" ? " is " : " are ") +
                           Spoken(*one) + " degC, the " + std::string(pair.other) + " " +
                           Spoken(*other) + " degC";
  if (std::fabs(*one - *other) <= most) {
    agreement.Agrees(both);
  } else if (pair.one == "cell temperatures" && *one > *other) {
    agreement.Either(both + ": either an offset is wrong or the pack heats itself");
  } else {
    agreement.Contradicts({pair.one, pair.other}, both + "; one offset or scale is wrong");
  }
}

}  // namespace

void CompareTemperatures(Agreement& agreement) {
  const CheckInput& input = agreement.input();
  const CheckSettings& settings = agreement.draft().settings();
  const Track& current = input.TrackOf("pack current");  // else nothing says that it rested
  const double quiet = settings.Get("rest.current");
  const Intervals resting =
      Where(current, kAsleep, [quiet](double amps) { return std::fabs(amps) < quiet; });
  const auto longest =
      std::max_element(resting.begin(), resting.end(), [&](const Interval& a, const Interval& b) {
        return RestedSeconds(a, settings) < RestedSeconds(b, settings);
      });
  if (longest == resting.end()) return;
  const double hours = RestedSeconds(*longest, settings) / 3600;
  for (const Neighbours& pair : kNeighbours) {
    if (hours >= pair.hours) Compare(agreement, pair, *longest);
  }
}

}  // namespace proofdrive::analysis
