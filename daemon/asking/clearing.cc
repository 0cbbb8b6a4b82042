#include "daemon/asking/clearing.h"

#include <cmath>
#include <random>
#include <vector>

#include "core/base/text.h"

namespace proofdrive::daemon {
namespace {

constexpr double kStandingStill = 0.5;  // km/h: below the noise of wheel sensors
constexpr double kChargeCurrent = 2.0;  // A into the pack: above what a car at rest takes

struct Known {
  bool any = false;     // a fresh, valid value of the role
  std::string against;  // what it says against clearing
};

const decoders::Signal& SignalOf(const Snapshot& snapshot, const LatestValue& latest) {
  return snapshot.definitions->signals[latest.value.signal];
}

std::string SaysMoving(const decoders::Signal&, const decoders::Value& value) {
  return std::abs(value.number) > kStandingStill
             ? "the car moves (" + FormatDouble(value.number) + ")"
             : "";
}

decoders::Meaning MeaningOf(const decoders::Signal& signal, std::int64_t raw) {
  for (const decoders::StateName& state : signal.states) {
    if (raw < state.first || raw > state.last) continue;
    if (state.means != decoders::Meaning::kNotUnderstood) return state.means;
    return decoders::MeaningOfName(signal.role, state.name);
  }
  return decoders::Meaning::kNotUnderstood;
}

// A state that is not understood says nothing, neither way.
bool SaysSomething(const decoders::Signal& signal, const decoders::Value& value) {
  if (decoders::MeaningsOf(signal.role).empty()) return true;
  const decoders::Meaning meaning = MeaningOf(signal, value.raw);
  return meaning != decoders::Meaning::kNotUnderstood && meaning != decoders::Meaning::kUnknown;
}

std::string SaysCharging(const decoders::Signal& signal, const decoders::Value& value) {
  return MeaningOf(signal, value.raw) == decoders::Meaning::kCharging ? "the car charges" : "";
}

template <class Judge>
Known Ask(const Snapshot& snapshot, decoders::RoleName role, Judge judge) {
  Known known;
  if (snapshot.definitions == nullptr) return known;
  for (const LatestValue& latest : snapshot.values) {
    const decoders::Signal& signal = SignalOf(snapshot, latest);
    const bool usable = !latest.stale && latest.value.validity == decoders::Validity::kValid;
    if (signal.role != role || !usable || !SaysSomething(signal, latest.value)) continue;
    known.any = true;
    const std::string against = judge(signal, latest.value);
    if (!against.empty()) known.against = against;
  }
  return known;
}

std::string SaysCurrentIn(const decoders::Signal& signal, const decoders::Value& value) {
  const double in = signal.positive == "charge" ? value.number : -value.number;
  return in > kChargeCurrent ? "current flows into the pack (" + FormatDouble(in) + " A)" : "";
}

}  // namespace

Status CheckMayClear(const Snapshot& snapshot, const std::string& reason) {
  if (!snapshot.recording) {
    return Status(ErrorKind::kUnavailable,
                  "nothing is being recorded, so the codes would be lost as evidence: start with: "
                  "proofdrive record start NAME");
  }
  const Known speed = Ask(snapshot, "vehicle speed", SaysMoving);
  const Known charge = Ask(snapshot, "charge state", SaysCharging);
  const Known current = Ask(snapshot, "pack current", SaysCurrentIn);
  for (const Known& known : {speed, charge, current}) {
    if (!known.against.empty()) {
      return Status(ErrorKind::kInvalidArgument, "codes are not cleared while " + known.against);
    }
  }
  std::vector<std::string> missing;
  if (!speed.any) missing.emplace_back("vehicle speed");
  if (!charge.any && !current.any) missing.emplace_back("charge state");
  if (missing.empty() || !Trim(reason).empty()) return Status::Ok();
  return Status(ErrorKind::kInvalidArgument,
                "it is not known whether the car moves or charges: no signal has the role " +
                    Join(missing, " or ") +
                    ", or it is silent. If you know that it stands still and does not charge, say "
                    "why with --reason TEXT; it is recorded");
}

std::string Confirmation::Give(SteadyTime now) {
  std::random_device random;
  word_ = std::to_string(1000 + random() % 9000);
  until_ = now + kValid;
  return word_;
}

bool Confirmation::Take(const std::string& word, SteadyTime now) {
  const bool right = !word_.empty() && word == word_ && now <= until_;
  word_.clear();
  return right;
}

}  // namespace proofdrive::daemon
