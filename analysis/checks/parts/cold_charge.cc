#include "analysis/checks/parts/cold_charge.h"

#include <algorithm>
#include <cmath>
#include <vector>

#include "analysis/statistics/robust.h"
#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

constexpr double kMinute = 60;  // s over which the current is averaged
constexpr double kLeast = 300;  // s of charging that count
// Cars allow 0.05 to 0.2 C below 0 degC and nothing below -10 to -20 degC (from memory).
constexpr double kCold = 0;  // degC; charge windows of data sheets begin there (looked up)
constexpr double kVeryCold = -10, kFarTooCold = -20;
constexpr double kTrickle = 0.05, kMostVeryCold = 0.2;
// C from which plating goes on during most of a charge at -10 degC (J. Energy Storage 163 (2026)
// 122197, abstract looked up).
constexpr double kPlates = 1;
constexpr double kSensorKelvin = 0.5;
constexpr double kMostAge = 600;  // s of a temperature

struct ColdMinute {
  double celsius = 0;  // of the coldest cell
  double amps = 0;     // into the pack
};

double Coldest(const RoleSignal& sensors, double at_s) {
  double least = 1e9;
  for (const Track& track : sensors.elements) {
    if (const auto value = ValueAt(track, at_s, kMostAge)) least = std::min(least, *value);
  }
  return least;
}

std::vector<ColdMinute> ColdMinutes(const Track& current, const RoleSignal& sensors, double cold_c,
                                    double least_amps) {
  std::vector<ColdMinute> minutes;
  std::size_t i = 0;
  while (i < current.size()) {
    const double from = current.time_s[i];
    double sum = 0;
    double count = 0;
    double last = from;
    for (; i < current.size() && current.time_s[i] < from + kMinute; ++i) {
      sum += current.value[i];
      last = current.time_s[i];
      ++count;
    }
    const double in = -sum / count;
    if (last - from < kMinute / 2 || in < least_amps) continue;
    const double celsius = Coldest(sensors, last);
    if (celsius < cold_c) minutes.push_back({celsius, in});
  }
  return minutes;
}

struct Worst {
  double seconds = 0;
  double celsius = 0;  // coldest
  double amps = 0;     // most
};

template <typename Has>
Worst Collect(const std::vector<ColdMinute>& minutes, const Has& has) {
  Worst worst;
  for (const ColdMinute& minute : minutes) {
    if (!has(minute)) continue;
    worst.seconds += kMinute;
    worst.celsius = std::min(worst.celsius, minute.celsius);
    worst.amps = std::max(worst.amps, minute.amps);
  }
  return worst;
}

std::string Text(const Worst& worst) {
  return "charged for " + SpokenSeconds(worst.seconds) + " with up to " + Spoken(worst.amps) +
         " A while a cell had as little as " + Spoken(worst.celsius) +
         " degC: lithium plates on cold graphite, which costs capacity and can short a cell; data "
         "sheets begin at 0 degC";
}

}  // namespace

void JudgeColdCharge(CheckDraft& draft) {
  const CheckInput& input = draft.input();
  const RoleSignal* sensors = input.Find("cell temperatures");
  const Track& current = input.TrackOf("pack current");
  if (sensors == nullptr || current.empty()) return;
  const double cold = kCold - kSensorKelvin;
  const double capacity = draft.settings().Get("pack.capacity");
  const double quiet = draft.settings().Get("rest.current");
  const auto minutes = ColdMinutes(current, *sensors, cold, std::max(quiet, kTrickle * capacity));
  if (Collect(minutes, [](const ColdMinute&) { return true; }).seconds < kLeast) return;
  const double quick = draft.Limit("balance.cold_rate") * capacity;
  const auto all = [](const ColdMinute&) { return true; };
  const auto far = [](const ColdMinute& minute) {
    return minute.celsius < kFarTooCold - kSensorKelvin;
  };
  const auto much = [&](const ColdMinute& minute) {
    const bool very = minute.celsius < kVeryCold - kSensorKelvin;
    return far(minute) || (capacity > 0 && minute.amps > (very ? kMostVeryCold * capacity : quick));
  };
  const auto plates = [&](const ColdMinute& minute) {
    return capacity > 0 && minute.amps >= kPlates * capacity;
  };
  if (const Worst worst = Collect(minutes, plates); worst.seconds >= kLeast) {
    draft.Judge(CheckStatus::kOutside, Text(worst));
  } else if (const Worst some = Collect(minutes, much); some.seconds >= kLeast) {
    draft.Judge(CheckStatus::kLookCloser, Text(some));
  } else if (capacity > 0) {
    draft.Remark(Text(Collect(minutes, all)));
  } else {
    draft.Missing("pack.capacity, to tell slow charging in the cold from quick");
    draft.Judge(CheckStatus::kCannotTell,
                Text(Collect(minutes, all)) + "; too quick or not depends on pack.capacity");
  }
}

}  // namespace proofdrive::analysis
