#include "analysis/checking/plausibility.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "analysis/checking/draft.h"
#include "analysis/checking/states.h"
#include "analysis/checking/voltage_jumps.h"
#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

// Where real values can be (chosen wide), how far one sample may leave and return, and whether the
// ends of the defined range are natural.
struct RoleBounds {
  decoders::RoleName role;
  double low, high;
  double spike;
};
constexpr RoleBounds kBounds[] = {{"pack voltage", 0, 1500, 20},
                                  {"link voltage", -20, 1500, 60},
                                  {"pack current", -3000, 3000, 300},
                                  {"cell voltages", 0.5, 5, 0.3},
                                  {"cell temperatures", -50, 150, 10},
                                  {"state of charge", 0, 105, 5},
                                  {"isolation resistance", 0, 1e6, 1e9},
                                  {"coolant pump speed", 0, 30000, 3000},
                                  {"coolant pump current", 0, 100, 20},
                                  {"coolant inlet temperature", -50, 150, 8},
                                  {"coolant outlet temperature", -50, 150, 8},
                                  {"ambient temperature", -60, 80, 10},
                                  {"supply voltage", 4, 20, 5},
                                  {"vehicle speed", 0, 400, 20},
                                  {"positive voltage to body", -50, 1500, 1e9},
                                  {"negative voltage to body", -50, 1500, 1e9},
                                  {"energy left", 0, 1000, 5},
                                  {"displayed range", 0, 2000, 1e9}};

// When the first stays the same while the second moves this far, the first is frozen.
struct FrozenRule {
  decoders::RoleName role, related;
  double movement;
};
constexpr FrozenRule kFrozen[] = {{"pack voltage", "pack current", 40},
                                  {"pack current", "pack voltage", 3},
                                  {"coolant outlet temperature", "coolant inlet temperature", 2},
                                  {"coolant inlet temperature", "coolant outlet temperature", 2},
                                  {"coolant pump current", "coolant pump speed", 800},
                                  {"vehicle speed", "motor speed", 300},
                                  {"supply voltage", "converter current", 10},
                                  {"state of charge", "energy left", 1}};

constexpr double kCellMovement = 0.020;     // V, of the median of the others
constexpr double kSensorMovement = 3;       // K
constexpr std::size_t kFewestSamples = 30;  // for any statement about being stuck
constexpr double kMostSpikes = 0.0002;      // share of samples; three at least
constexpr double kStuckShare = 0.5;
constexpr double kSignCertain = 0.5;
constexpr double kSignStep = 5;  // A
// What a signal swings by itself while the pack works is no jump: one and a half times between its
// 1 % and 99 % quantiles (proposal). A night beside a short drive would hide the swing.
constexpr double kSwings = 1.5, kSwingShare = 0.01;
constexpr std::size_t kSwingSamples = 2000;
constexpr double kJumpShare = 0.1;     // of the voltage, where no current explains it (proposal)
constexpr double kSwingByCells = 1.3;  // joints drop, too
// A single cell can be near zero or reversed (copper dissolves from -1.3 V: J. Electrochem. Soc.
// 165 (2018) A1639); that is for the check of the cells, not a wrong scale.
constexpr double kLowestCell = -2, kDeadCell = 1.5;

constexpr double kReachShare = 0.1;
constexpr double kWorkingAmps = 3, kWorkingPause = 60, kLeastWorking = 10;  // A, s, s

// While the pack works; short pauses belong to it. Everything when that is not known.
Intervals WorkingTime(const CheckInput& input) {
  const Track& current = input.TrackOf("pack current");
  Intervals working;
  for (const Interval& one : Where(current, CheckInput::Gap(current),
                                   [](double amps) { return std::fabs(amps) >= kWorkingAmps; })) {
    if (!working.empty() && one.from_s - working.back().to_s < kWorkingPause) {
      working.back().to_s = one.to_s;
    } else {
      working.push_back(one);
    }
  }
  if (TotalLength(working) < kLeastWorking) return {{0, input.length_s}};
  return working;
}

double Extent(const Track& track) {
  if (track.empty()) return 0;
  const auto [low, high] = std::minmax_element(track.value.begin(), track.value.end());
  return *high - *low;
}

const RoleBounds* BoundsOf(std::string_view role) {
  for (const RoleBounds& bounds : kBounds) {
    if (role == bounds.role) return &bounds;
  }
  return nullptr;
}

std::string ElementName(const RoleSignal& signal, std::size_t element) {
  return signal.is_series ? signal.name + "[" + std::to_string(element + 1) + "]" : signal.name;
}

// By how much a signal goes up and down; of a series the median element.
double SwingOf(const CheckInput& input, const RoleSignal& signal) {
  std::vector<double> swings;
  // A single signal is read often enough to follow the load.
  const Intervals working = signal.is_series ? WorkingTime(input) : Intervals{{0, input.length_s}};
  for (const Track& track : signal.elements) {
    const std::vector<double> values = Thinned(KeepIn(track, working), kSwingSamples).value;
    if (values.empty()) continue;
    swings.push_back(Quantile(values, 1 - kSwingShare) - Quantile(values, kSwingShare));
  }
  return swings.empty() ? 0 : Median(std::move(swings));
}

// What the cells say of the pack's swing: a voltage that jumps often must not excuse itself.
double SwingByCells(const CheckInput& input, const RoleSignal& pack) {
  const RoleSignal* cells = input.Find("cell voltages");
  if (cells == nullptr) return std::numeric_limits<double>::infinity();
  std::vector<double> middles;
  for (const Track& cell : cells->elements) {
    if (!cell.empty()) middles.push_back(Median(Thinned(cell, kSwingSamples).value));
  }
  const double cell_v = Median(std::move(middles));
  if (cell_v <= 0) return std::numeric_limits<double>::infinity();
  const double in_series = Median(Thinned(pack.track(), kSwingSamples).value) / cell_v;
  return kSwingByCells * in_series * SwingOf(input, *cells);
}

// How far a sample may leave and return: load does it to voltages and currents, most of all when
// they are seldom sent. The swing of a series is that of its median element: one that jumps must
// not excuse itself.
double SpikeOf(const CheckInput& input, const RoleSignal& signal, const RoleBounds& bounds) {
  if (bounds.role != decoders::RoleName("cell voltages") &&
      bounds.role != decoders::RoleName("pack voltage") &&
      bounds.role != decoders::RoleName("pack current")) {
    return bounds.spike;
  }
  double swing = SwingOf(input, signal);
  if (bounds.role == decoders::RoleName("pack voltage")) {
    swing = std::min(swing, SwingByCells(input, signal));
  }
  return std::max(bounds.spike, kSwings * swing);
}

// Where a value leaves and comes straight back by more than `most`.
std::vector<std::size_t> SpikePlaces(const Track& track, double most) {
  std::vector<std::size_t> places;
  for (std::size_t i = 1; i + 1 < track.size(); ++i) {
    const double up = track.value[i] - track.value[i - 1];
    const double down = track.value[i + 1] - track.value[i];
    if (up * down < 0 && std::fabs(up) > most && std::fabs(down) > most) places.push_back(i);
  }
  return places;
}

// Where a tenth of the elements has been: a load reaches them all, however seldom each is read.
struct Reach {
  double low = 0, high = 0;
};

Reach ReachOf(const RoleSignal& signal) {
  std::vector<double> lows, highs;
  for (const Track& track : signal.elements) {
    if (track.empty()) continue;
    const auto [low, high] = std::minmax_element(track.value.begin(), track.value.end());
    lows.push_back(*low);
    highs.push_back(*high);
  }
  return {Quantile(std::move(lows), kReachShare), Quantile(std::move(highs), 1 - kReachShare)};
}

// Jumps of one element to where others never were.
std::size_t OwnSpikes(const RoleSignal& signal, std::size_t element, double most) {
  const Track& track = signal.elements[element];
  const std::vector<std::size_t> places = SpikePlaces(track, most);
  if (places.size() < 3 || !signal.is_series) return places.size();
  const Reach reach = ReachOf(signal);
  return static_cast<std::size_t>(std::count_if(places.begin(), places.end(), [&](std::size_t at) {
    return track.value[at] < reach.low || track.value[at] > reach.high;
  }));
}

// Of the pack voltage, while the current stayed where it was.
std::size_t SpikesWithoutLoad(const CheckInput& input, const RoleSignal& signal,
                              decoders::RoleName role) {
  const RoleSignal* current = input.Find("pack current");
  if (role != decoders::RoleName("pack voltage") || current == nullptr) return 0;
  const double amps = SwingOf(input, *current);
  if (amps < kSignStep) return 0;
  const double ohm = std::min(SwingOf(input, signal), SwingByCells(input, signal)) / amps;
  const double floor = kJumpShare * Median(Thinned(signal.track(), kSwingSamples).value);
  return UnexplainedJumps(signal.track(), current->track(), ohm, floor).size();
}

// Whether most elements are where this role can be.
bool MostWithin(const RoleSignal& signal, const RoleBounds& bounds) {
  std::size_t within = 0, all = 0;
  for (const Track& track : signal.elements) {
    if (track.empty()) continue;
    const double middle = Median(Thinned(track, 200).value);
    ++all;
    if (middle >= bounds.low && middle <= bounds.high) ++within;
  }
  return 2 * within > all;
}

// The median of all elements at about the same time: one value per sample of the first one that has
// any, from the latest values of the others.
Track MedianTrack(const RoleSignal& signal) {
  Track medians;
  const auto base = std::find_if(signal.elements.begin(), signal.elements.end(),
                                 [](const Track& track) { return !track.empty(); });
  if (base == signal.elements.end()) return medians;
  const Track thin = Thinned(*base, 200);
  const double age = CheckInput::Gap(*base);
  for (const double at : thin.time_s) {
    std::vector<double> values;
    for (const Track& track : signal.elements) {
      if (const auto value = ValueAt(track, at, age)) values.push_back(*value);
    }
    if (!values.empty()) medians.Add(at, Median(std::move(values)));
  }
  return medians;
}

class Judge {
 public:
  Judge(CheckInput& input, const CheckSettings& settings)
      : input_(input), draft_(input, settings) {}

  CheckResult Run() {
    for (RoleSignal& signal : input_.signals) Look(signal);
    LookForFrozen();
    LookAtSign();
    Conclude();
    CheckResult result = draft_.Take();
    result.name = kSignalsCheck;
    result.title = "Signals";
    for (const RoleSignal& signal : input_.signals) {
      if (signal.received()) result.roles.push_back({signal.role, false, {signal.name}});
    }
    return result;
  }

 private:
  // A stretch does not use it; whether it is odd only all of the recording tells.
  bool IsStretch() const {
    return input_.part == CheckInput::Part::kStretch ||
           input_.part == CheckInput::Part::kLastStretch;
  }

  void Reject(RoleSignal& signal, const std::string& why) {
    if (!signal.unusable.empty()) return;
    signal.unusable = why;
    if (IsStretch()) return;
    draft_.Judge(CheckStatus::kLookCloser, signal.name + " " + why + "; no check uses it");
  }

  // One element of a series goes; the others stay.
  void Drop(RoleSignal& signal, std::size_t element, const std::string& why) {
    if (!signal.is_series) return Reject(signal, why);
    signal.elements[element] = Track();
    if (IsStretch()) return;
    draft_.Judge(CheckStatus::kLookCloser,
                 ElementName(signal, element) + " " + why + "; no check uses it");
  }

  // The values that are left would be a choice of the wrong ones.
  void LookAtRange(RoleSignal& signal) {
    if (signal.out_of_range == 0) return;
    std::uint64_t good = 0;
    for (const Track& track : signal.elements) good += track.size();
    const std::string how = CountOf(signal.out_of_range, "value");
    if (good == 0) {
      Reject(signal, "is outside the range of its definition in all its " + how +
                         ": unit, scale, bytes or the range itself are off");
    } else if (signal.out_of_range > good) {
      draft_.Remark(signal.name + " is outside the range of its definition in " + how +
                    ", more than in it: check unit, scale, bytes and range");
    }
  }

  void Look(RoleSignal& signal) {
    const std::string why = UnderstandStates(signal);
    LookAtRange(signal);
    if (!signal.received()) {
      ++silent_;
      if (signal.absent > 0) {
        draft_.Remark(signal.name + " says all the time that it has no value");
      }
      return;
    }
    ++seen_;
    if (!signal.unit_fits) {
      return Reject(signal, "has the unit \"" + signal.unit + "\", which its role cannot use");
    }
    if (!why.empty()) {
      signal.not_understood = true;
      return Reject(signal, why);
    }
    if (!signal.states.empty()) return;
    const RoleBounds* given = BoundsOf(signal.role);
    std::optional<RoleBounds> bounds;
    if (given != nullptr) bounds = *given;
    if (signal.role == decoders::RoleName("cell voltages") && MostWithin(signal, *given)) {
      bounds->low = kLowestCell;
    }
    if (bounds) bounds->spike = SpikeOf(input_, signal, *bounds);
    for (std::size_t i = 0; i < signal.elements.size(); ++i)
      LookAt(signal, i, bounds ? &*bounds : nullptr);
    if (signal.is_series) LookForSilentElements(signal);
  }

  void LookForSilentElements(const RoleSignal& signal) {
    std::vector<std::string> silent;
    for (std::size_t i = 0; i < signal.elements.size(); ++i) {
      if (signal.elements[i].empty()) silent.push_back(std::to_string(i + 1));
    }
    if (!silent.empty()) {
      draft_.Remark(signal.name + " brings no value that can be used for " +
                    (silent.size() <= 8 ? "number " + Join(silent, ", ")
                                        : CountOf(silent.size(), "element")));
    }
  }

  void LookAt(RoleSignal& signal, std::size_t element, const RoleBounds* bounds) {
    const Track& track = signal.elements[element];
    if (track.empty()) return;
    const double middle = Median(track.value);
    if (bounds != nullptr && (middle < bounds->low || middle > bounds->high)) {
      return Drop(signal, element,
                  "is " + Spoken(middle) + " " + signal.unit + " in the middle, which no " +
                      std::string(bounds->role) +
                      " can be: unit or scale of its definition is off");
    }
    if (track.size() < kFewestSamples) return;
    if (signal.largest_raw > 0 && ShareAt(track, signal.largest_raw, signal.step) > kStuckShare) {
      return Drop(signal, element,
                  "sends its largest number most of the time, which usually means no value "
                  "(\"absent\" in its definition)");
    }
    // A charge of 100 % and a monitor at its ceiling are at the end of their range by nature; the
    // insulation check says "at least".
    if (signal.range_high > signal.range_low &&
        signal.role != decoders::RoleName("state of charge") &&
        signal.role != decoders::RoleName("isolation resistance") &&
        ShareAt(track, signal.range_high, signal.step) > kStuckShare) {
      return Drop(signal, element, "is stuck at the end of its range");
    }
    if (bounds == nullptr || input_.part == CheckInput::Part::kThinned) return;
    const std::size_t spikes = std::max(OwnSpikes(signal, element, bounds->spike),
                                        SpikesWithoutLoad(input_, signal, bounds->role));
    if (spikes >= 3 &&
        static_cast<double>(spikes) > kMostSpikes * static_cast<double>(track.size())) {
      const std::string why = "jumps and comes straight back " + CountOf(spikes, "time");
      Drop(signal, element, why);
      if (!IsStretch()) return;
      signal.jumps = true;
      draft_.Judge(CheckStatus::kLookCloser,
                   ElementName(signal, element) + " " + why + "; no check uses it");
    }
  }

  RoleSignal* Usable(decoders::RoleName role) {
    for (RoleSignal& signal : input_.signals) {
      if (signal.role == role && signal.unusable.empty() && signal.received()) return &signal;
    }
    return nullptr;
  }

  void LookForFrozen() {
    for (const FrozenRule& rule : kFrozen) {
      RoleSignal* signal = Usable(rule.role);
      const RoleSignal* related = Usable(rule.related);
      if (signal == nullptr || related == nullptr || signal->is_series) continue;
      // The fractions of a degree or volt that a coarse signal cannot show do not count.
      const double movement = std::max(rule.movement, 3 * related->step);
      if (signal->track().size() >= kFewestSamples &&
          IsFrozen(signal->track(), related->track(), movement)) {
        Reject(*signal, "never changes although " + related->name + " moves: frozen");
      }
    }
    LookForFrozenElements("cell voltages", kCellMovement);
    LookForFrozenElements("cell temperatures", kSensorMovement);
  }

  void LookForFrozenElements(decoders::RoleName role, double movement) {
    RoleSignal* signal = Usable(role);
    if (signal == nullptr || signal->elements.size() < 3) return;
    const Track median = MedianTrack(*signal);
    const double least = std::max(movement, 10 * signal->step);
    for (std::size_t i = 0; i < signal->elements.size(); ++i) {
      const Track& element = signal->elements[i];
      // A dead cell hardly moves; it is no signal's fault.
      const bool dead = role == decoders::RoleName("cell voltages") && !element.empty() &&
                        element.value.front() < kDeadCell;
      if (!dead && element.size() >= kFewestSamples && IsFrozen(element, median, least)) {
        Drop(*signal, i, "never changes although the others move: frozen");
      }
    }
  }

  void LookAtSign() {
    RoleSignal* current = Usable("pack current");
    const RoleSignal* voltage = Usable("pack voltage");
    if (current == nullptr) return;
    if (current->positive == "charge") Turn(*current);
    const auto correlation =
        voltage == nullptr ? std::nullopt
                           : CurrentAgainstVoltage(current->track(), voltage->track(), kSignStep);
    if (!correlation) {
      draft_.Remark("the sign of " + current->name +
                    " could not be put to the test: the current hardly changed");
      if (current->positive.empty()) {
        draft_.Remark(
            "its definition does not say what a positive value does; it was taken as "
            "discharge");
      }
      return;
    }
    draft_.Add("current_sign", *correlation, "",
               "correlation of changes of pack current (positive: discharge) and voltage; below 0 "
               "when the sign is right");
    if (*correlation < kSignCertain) return;
    Turn(*current);
    draft_.Judge(CheckStatus::kLookCloser,
                 current->positive.empty()
                     ? current->name +
                           " is positive when the pack is charged; write \"positive: "
                           "charge\" in its definition (the checks turned it round)"
                     : "the sign of " + current->name +
                           " is wrong: voltage rises when it says \"discharge\"; the checks turned "
                           "it round, correct \"positive\" in its definition");
  }

  static void Turn(RoleSignal& current) {
    for (double& value : current.elements.front().value) value = -value;
    std::swap(current.range_low, current.range_high);
    current.range_low = -current.range_low;
    current.range_high = -current.range_high;
  }

  void Conclude() {
    if (seen_ == 0) {
      draft_.Missing(input_.signals.empty() ? "a definition file whose signals have roles"
                                            : "frames of the signals that have roles");
      return;
    }
    draft_.Judge(CheckStatus::kWithin,
                 CountOf(seen_, "signal") + " with a role " + (seen_ == 1 ? "behaves" : "behave") +
                     " as such a signal can" +
                     (silent_ > 0 ? ", " + std::to_string(silent_) + " brought no value" : ""));
    draft_.Alike(
        "a value that is steady by nature looks frozen only when something related moves, "
        "so a signal stuck in a quiet recording is not found");
  }

  CheckInput& input_;
  CheckDraft draft_;
  std::size_t seen_ = 0;
  std::size_t silent_ = 0;
};

}  // namespace

bool IsFrozen(const Track& track, const Track& related, double movement) {
  if (track.size() < 2 || Extent(track) > 0) return false;
  return Extent(Between(related, track.time_s.front(), track.time_s.back())) >= movement;
}

std::size_t Spikes(const Track& track, double most) { return SpikePlaces(track, most).size(); }

double ShareAt(const Track& track, double end, double step) {
  if (track.empty()) return 0;
  const auto at = std::count_if(track.value.begin(), track.value.end(),
                                [&](double value) { return std::fabs(value - end) <= step / 2; });
  return static_cast<double>(at) / static_cast<double>(track.size());
}

std::optional<double> CurrentAgainstVoltage(const Track& current, const Track& voltage,
                                            double least_a) {
  std::vector<double> amps;
  std::vector<double> volts;
  const double age = CheckInput::Gap(current);
  std::optional<double> last_a;
  double last_v = 0;
  for (std::size_t i = 0; i < voltage.size(); ++i) {
    const auto now = ValueAt(current, voltage.time_s[i], age);
    if (!now) {
      last_a.reset();
      continue;
    }
    if (last_a && std::fabs(*now - *last_a) < least_a) continue;
    if (last_a) {
      amps.push_back(*now - *last_a);
      volts.push_back(voltage.value[i] - last_v);
    }
    last_a = now;
    last_v = voltage.value[i];
  }
  if (amps.size() < kFewestChanges) return std::nullopt;
  return Correlation(amps, volts);
}

CheckResult CheckSignals(CheckInput& input, const CheckSettings& settings) {
  return Judge(input, settings).Run();
}

}  // namespace proofdrive::analysis
