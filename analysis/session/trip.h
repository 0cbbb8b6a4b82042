// Figures of a drive or a charge, from the roles of the signals: distance and energy.
//
// Both are sums of a value times the time until the next one. A value holds for at most
// kLongestHold: over a longer silence nothing is counted, and the time left out is told.
#pragma once

#include <optional>
#include <string>

#include "decoders/model/definitions.h"
#include "decoders/signals/value.h"

namespace proofdrive::analysis {

inline constexpr Duration kLongestHold = std::chrono::seconds(2);

struct TripFigures {
  // Empty when there is no signal of role "vehicle speed", its unit is not km/h, m/s or mph, or no
  // value of it was received.
  std::optional<double> distance_km;
  Duration moving{0};  // speed above zero
  // Empty unless there are roles "pack voltage" (V) and "pack current" (A) whose direction is
  // stated with `positive`, and values of both were received. kWh at the terminals of the pack, as
  // its own sensors say.
  std::optional<double> energy_out_kwh;  // taken from the pack
  std::optional<double> energy_in_kwh;   // given to it: charging and braking
  bool speed_missing = false;            // described, and no value was received
  bool power_missing = false;            // the same of voltage or current
  Duration not_counted{0};               // longest of the silences left out, summed per figure
};

class TripMeter {
 public:
  explicit TripMeter(const decoders::Definitions& definitions);

  // `at`: session time, not decreasing.
  void Add(const decoders::Value& value, Duration at);
  // `end`: of the session.
  TripFigures Finish(Duration end);

 private:
  // A quantity that holds until its next value.
  struct Held {
    std::optional<std::uint32_t> signal;
    double factor = 1;  // to km/s, V, A out of the pack
    double value = 0;
    Duration since{0};
    bool known = false;
    bool ever = false;  // known at any time

    // Time the value held until `now`, at most kLongestHold; the rest is added to `lost`.
    double Seconds(Duration now, Duration& lost) const;
  };
  static Held ByRole(const decoders::Definitions& definitions, decoders::RoleName role);
  void CountSpeed(Duration now);
  void CountPower(Duration now);

  Held speed_, voltage_, current_;
  double distance_km_ = 0;
  double out_ws_ = 0;
  double in_ws_ = 0;
  Duration moving_{0};
  Duration speed_lost_{0};
  Duration power_lost_{0};
};

}  // namespace proofdrive::analysis
