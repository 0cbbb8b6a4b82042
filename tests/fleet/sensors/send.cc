#include <algorithm>
#include <cmath>
#include <functional>

#include "tests/fleet/physics/insulation.h"
#include "tests/fleet/physics/pack_model.h"
#include "tests/fleet/random.h"
#include "tests/fleet/sensors/sent.h"

namespace proofdrive::fleet {
namespace {

constexpr double kStateEvery = 0.1;  // s; what the checks keep of a state that stays
constexpr int kSensorsPerPage = 3;
constexpr double kJumpFactor = 0.7;  // of a pack voltage that jumps
constexpr double kDropFactor = 0.2;  // of an insulation reading that drops
constexpr double kDrivenPower = 60;  // kW shown as the limit

// role names have blanks, names of signals have not.
std::string NameOf(std::string role) {
  std::replace(role.begin(), role.end(), ' ', '_');
  return role;
}

class Sender {
 public:
  Sender(const Car& car, const Life& life)
      : car_(car), life_(life), random_(Random(car.seed).Fork("sender")) {
    sent_.length_s = life.length_s;
  }

  Sent Run() {
    Electrical();
    Coolant();
    Dashboard();
    Cells();
    Temperatures();
    Monitor();
    States();
    return std::move(sent_);
  }

 private:
  using Value = std::function<double(const Clock&)>;

  const Sensor* Plan(const std::string& role) const {
    const auto found = car_.sensors.values.find(role);
    return found == car_.sensors.values.end() ? nullptr : &found->second;
  }

  SentSignal& Begin(const std::string& role, const Sensor& sensor) {
    SentSignal signal;
    signal.role = role;
    signal.name = NameOf(role);
    signal.sensor = sensor;
    signal.elements.resize(1);
    sent_.signals.push_back(std::move(signal));
    return sent_.signals.back();
  }

  SentSignal* Scalar(const std::string& role, const Value& value) {
    const Sensor* sensor = Plan(role);
    if (sensor == nullptr) return nullptr;
    SentSignal& signal = Begin(role, *sensor);
    SentTrack& track = signal.elements.front();
    track.time_s = Schedule(life_, car_.use, *sensor, random_);
    track.value.reserve(track.time_s.size());
    Clock clock(life_);
    for (const double t : track.time_s) {
      clock.Seek(t - sensor->delay_s);
      track.value.push_back(Measured(*sensor, value(clock), random_));
    }
    return &signal;
  }

  void Field(const std::string& role, double Moment::*field) {
    Scalar(role, [field](const Clock& clock) { return clock.Value(field); });
  }

  void Electrical() {
    Field("link voltage", &Moment::link_v);
    if (SentSignal* volt = Scalar(
            "pack voltage", [](const Clock& clock) { return clock.Value(&Moment::pack_v); })) {
      Jump(volt->elements.front(), car_.defects.jumps, kJumpFactor);
    }
    const double sign = car_.sensors.current_turned ? -1 : 1;
    if (SentSignal* amps = Scalar("pack current", [sign](const Clock& clock) {
          return sign * clock.Value(&Moment::amps);
        })) {
      amps->positive = car_.sensors.positive;
    }
    const auto leak = [this](const Clock& clock) {
      const Moment& now = clock.now();
      return LeakageOf(car_, now.pack_c, clock.Value(&Moment::pack_v), now.hv == HvState::kClosed,
                       now.t / life_.length_s);
    };
    Scalar("positive voltage to body", [&](const Clock& clock) { return leak(clock).positive_v; });
    Scalar("negative voltage to body", [&](const Clock& clock) { return leak(clock).negative_v; });
  }

  // Single values leave and come straight back.
  static void Jump(SentTrack& track, int times, double factor) {
    const auto count = static_cast<std::size_t>(times);
    for (std::size_t i = 0; i < count && count < track.value.size() / 3; ++i) {
      track.value[track.value.size() * (i + 1) / (count + 2)] *= factor;
    }
  }

  void Coolant() {
    Field("coolant pump speed", &Moment::rpm);
    if (Plan("coolant pump speed") != nullptr) Ripple(sent_.signals.back());
    Scalar("coolant pump current", [](const Clock& clock) {
      return clock.Value(&Moment::pump_w) / std::max(clock.Value(&Moment::supply_v), 6.0);
    });
    if (SentSignal* inlet = Scalar("coolant inlet temperature", [](const Clock& clock) {
          return clock.Value(&Moment::inlet_c);
        })) {
      Stick(*inlet);
    }
    Field("coolant outlet temperature", &Moment::outlet_c);
  }

  void Ripple(SentSignal& speed) {
    const Sensor& sensor = speed.sensor;
    Sensor exact = sensor;
    exact.noise = exact.zero = 0;
    exact.gain = 1;
    for (double& rpm : speed.elements.front().value) {
      rpm = Measured(exact, rpm * (1 + car_.loop.ripple * random_.Noise()), random_);
    }
  }

  void Stick(SentSignal& signal) const {
    SentTrack& track = signal.elements.front();
    const double most = signal.sensor.high * signal.sensor.factor + signal.sensor.offset;
    const auto count = static_cast<std::size_t>(car_.defects.stuck_share *
                                                static_cast<double>(track.value.size()));
    std::fill_n(track.value.begin(), count, most);
  }

  void Dashboard() {
    Field("supply voltage", &Moment::supply_v);
    Field("vehicle speed", &Moment::kmh);
    Field("state of charge", &Moment::shown);
    const double start_km = 12000 + static_cast<double>(car_.seed % 100000);
    Scalar("odometer",
           [start_km](const Clock& clock) { return start_km + clock.Value(&Moment::km); });
    const double off = car_.defects.shown_off;
    Scalar("displayed range", [this, off](const Clock& clock) {
      if (car_.defects.range_zero) return 0.0;
      return std::max(0.0, clock.Value(&Moment::shown) - off) / 100 * car_.display.km_full;
    });
    Scalar("energy left", [this, off](const Clock& clock) {
      const double usable = 1 - car_.display.hidden_low - car_.display.hidden_high;
      const double kwh = car_.pack.capacity_ah * car_.pack.health * car_.pack.series() *
                         CurveOf(car_.pack.kind).Volt(0.5) / 1000;
      return std::max(0.0, clock.Value(&Moment::shown) - off) / 100 * usable * kwh;
    });
    Scalar("ambient temperature", [this](const Clock&) { return car_.use.ambient_c; });
    Scalar("discharge power limit",
           [](const Clock& clock) { return clock.now().charge > 0.05 ? kDrivenPower : 5; });
  }

  void Cells() {
    const Sensor* sensor = Plan("cell voltages");
    if (sensor == nullptr) return;
    SentSignal& signal = Begin("cell voltages", *sensor);
    signal.is_series = true;
    signal.per_page = car_.sensors.cells_per_page;
    signal.elements.resize(static_cast<std::size_t>(car_.pack.cells));
    const int pages = (car_.pack.cells + signal.per_page - 1) / signal.per_page;
    for (int page = 0; page < pages; ++page) {
      const auto& missing = car_.sensors.missing_pages;
      if (std::find(missing.begin(), missing.end(), page) != missing.end()) continue;
      Page(signal, page, sensor->period_s * page / pages);
    }
    Freeze(signal);
  }

  // All cells of one page are sent at the same times.
  void Page(SentSignal& signal, int page, double later_s) {
    const int first = page * signal.per_page;
    const int last = std::min(first + signal.per_page, car_.pack.cells);
    const std::vector<double> times = Schedule(life_, car_.use, signal.sensor, random_);
    std::vector<CellView> views;
    for (int cell = first; cell < last; ++cell) {
      views.emplace_back(car_.pack, cell);
      SentTrack& track = signal.elements[static_cast<std::size_t>(cell)];
      track.time_s.reserve(times.size());
      track.value.reserve(times.size());
    }
    Clock clock(life_);
    for (const double time : times) {
      const double t = std::min(time + later_s, life_.length_s);
      clock.Seek(t - signal.sensor.delay_s);
      const double charge = clock.Value(&Moment::charge);
      const double over = clock.Value(&Moment::over_v);
      for (std::size_t i = 0; i < views.size(); ++i) {
        SentTrack& track = signal.elements[static_cast<std::size_t>(first) + i];
        track.time_s.push_back(t);
        track.value.push_back(Measured(signal.sensor, views[i].Volt(charge, over), random_));
      }
    }
  }

  void Freeze(SentSignal& signal) const {
    const auto count = static_cast<std::size_t>(
        std::ceil(car_.defects.frozen_cells * static_cast<double>(signal.elements.size())));
    for (std::size_t i = 0; i < count; ++i) {
      std::vector<double>& value = signal.elements[i].value;
      if (!value.empty()) std::fill(value.begin(), value.end(), value.front());
    }
  }

  void Temperatures() {
    const Sensor* sensor = Plan("cell temperatures");
    if (sensor == nullptr) return;
    SentSignal& signal = Begin("cell temperatures", *sensor);
    signal.is_series = true;
    signal.per_page = kSensorsPerPage;
    signal.elements.resize(static_cast<std::size_t>(car_.pack.sensors));
    const std::size_t hot = signal.elements.size() / 2;
    for (std::size_t i = 0; i < signal.elements.size(); ++i) {
      SentTrack& track = signal.elements[i];
      if (i % kSensorsPerPage == 0) {
        track.time_s = Schedule(life_, car_.use, *sensor, random_);
      } else {
        track.time_s = signal.elements[i - 1].time_s;
      }
      const double near = i == hot ? 1 : i + 1 == hot || i == hot + 1 ? 0.3 : 0;
      Clock clock(life_);
      for (const double t : track.time_s) {
        clock.Seek(t);
        const double mean = clock.Value(&Moment::pack_c);
        const double over = mean - clock.Value(&Moment::inlet_c);
        const double celsius = mean + car_.pack.gradient[i] * over + car_.pack.sensor_offset_k[i] +
                               near * car_.defects.hot_spot_k +
                               near * car_.defects.self_heating_k * clock.now().rest_share;
        track.value.push_back(Measured(*sensor, celsius, random_));
      }
    }
  }

  void Monitor() {
    const Sensor* sensor = Plan("isolation resistance");
    if (sensor == nullptr) return;
    SentSignal& signal = Begin("isolation resistance", *sensor);
    const std::vector<Reading> readings = MonitorReadings(car_, life_);
    // Noise comes with every result of the monitor, not with every frame that repeats it.
    std::vector<double> results;
    for (const Reading& reading : readings) {
      Sensor relative = *sensor;
      relative.noise = sensor->noise * reading.kohm / sensor->factor;
      if (reading.kohm == car_.insulation.ceiling_kohm) relative.noise = 0, relative.gain = 1;
      results.push_back(Measured(relative, reading.kohm, random_));
    }
    SentTrack& track = signal.elements.front();
    track.time_s = Schedule(life_, car_.use, *sensor, random_);
    std::size_t at = 0;
    for (const double t : track.time_s) {
      while (at + 1 < readings.size() && readings[at + 1].t <= t) ++at;
      track.value.push_back(results[at]);
    }
    Jump(track, car_.defects.drops, kDropFactor);
  }

  void State(const std::string& role, const std::function<int(const Moment&)>& which) {
    const auto names = car_.sensors.states.find(role);
    const Sensor* sensor = Plan(role);
    if (names == car_.sensors.states.end() || sensor == nullptr) return;
    SentSignal& signal = Begin(role, *sensor);
    signal.states = names->second;
    SentTrack& track = signal.elements.front();
    Clock clock(life_);
    for (const double t : Schedule(life_, car_.use, *sensor, random_)) {
      clock.Seek(t);
      const auto index = static_cast<std::size_t>(which(clock.now()));
      const double value = signal.states[std::min(index, signal.states.size() - 1)].value;
      const bool same = !track.value.empty() && track.value.back() == value;
      if (same && t - track.time_s.back() < kStateEvery) continue;
      track.time_s.push_back(t);
      track.value.push_back(value);
    }
  }

  void States() {
    State("contactor state", [](const Moment& now) {
      return now.hv == HvState::kClosed ? 2 : now.hv == HvState::kPrecharge ? 1 : 0;
    });
    State("charge state", [](const Moment& now) { return now.charging ? 1 : 0; });
    State("converter state", [](const Moment& now) { return now.converter ? 1 : 0; });
    State("coolant pump", [](const Moment& now) { return now.pump_told ? 1 : 0; });
    State("balancing", [](const Moment&) { return 0; });
    const double low_from = life_.length_s * (1 - car_.defects.level_low_share);
    State("coolant level", [low_from](const Moment& now) { return now.t > low_from ? 1 : 0; });
    const double crash_from = life_.length_s - car_.defects.crash_s;
    State("crash latch", [crash_from](const Moment& now) { return now.t > crash_from ? 1 : 0; });
    const double open_from = OpeningTime();
    State("interlock", [this, open_from](const Moment& now) {
      return now.t >= open_from && now.t < open_from + car_.defects.loop_open_s ? 1 : 0;
    });
  }

  // In the middle of the first drive.
  double OpeningTime() const {
    for (const Phase& phase : life_.phases) {
      if (phase.kind == StageKind::kDrive) return (phase.from_s + phase.to_s) / 2;
    }
    return life_.length_s / 2;
  }

  const Car& car_;
  const Life& life_;
  Random random_;
  Sent sent_;
};

}  // namespace

Sent Send(const Car& car, const Life& life) { return Sender(car, life).Run(); }

}  // namespace proofdrive::fleet
