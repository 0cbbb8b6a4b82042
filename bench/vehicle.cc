#include "bench/vehicle.h"

#include <algorithm>

#include "bench/car/car.h"
#include "bench/control_units/unit_node.h"
#include "bench/frames/buses.h"
#include "bench/frames/schedule.h"
#include "bench/scenarios/scenarios.h"
#include "bench/truth/truth.h"

namespace proofdrive::bench {
namespace {

std::string ScenarioNames() {
  std::string names;
  for (const ScenarioInfo& info : Scenarios()) {
    if (!names.empty()) names += ", ";
    names += info.name;
  }
  return names;
}

class SimulatedVehicle : public Vehicle {
 public:
  SimulatedVehicle(const Scenario& scenario, const VehicleOptions& options)
      : start_(options.start),
        first_channel_(options.first_channel),
        duration_(FromSeconds(scenario.seconds)),
        car_(scenario, options.seed),
        schedule_(scenario, options.seed, options.first_channel, options.start),
        truth_(car_, options.seed) {
    for (const UnitRow& row : UnitTable()) units_.emplace_back(row, scenario);
  }

  Duration duration() const override { return duration_; }
  bool Run(Duration until, std::vector<Frame>& frames) override;
  std::string TruthJson() const override { return truth_.Json(car_, counts_); }
  void Inject(const Frame& frame) override {
    if (frame.channel >= first_channel_ && frame.channel <= first_channel_ + kDriveBus) {
      injected_.push_back(frame);
    }
  }

 private:
  void StepOnce();
  void SendInjected();
  void StepUnits(std::size_t first);
  void HandOut(WallTime limit, std::vector<Frame>& frames);

  const WallTime start_;
  const std::uint8_t first_channel_;
  const Duration duration_;
  Car car_;
  Schedule schedule_;
  Truth truth_;
  Duration simulated_{0};
  std::vector<UnitNode> units_;
  std::vector<Frame> injected_;  // to be sent in the next step
  // Sent but not handed out: frames that end after the step they began in.
  std::vector<Frame> sent_;
  FrameCounts counts_;
};

void SimulatedVehicle::StepOnce() {
  car_.Step();
  truth_.Observe(car_);
  SendInjected();
  const std::size_t before = sent_.size();
  schedule_.Step(simulated_, car_, sent_);
  StepUnits(before);
  simulated_ += kStep;
}

void SimulatedVehicle::SendInjected() {
  for (Frame& frame : injected_) {
    frame.flags |= kSentHere;
    schedule_.Queue(static_cast<std::uint8_t>(frame.channel - first_channel_), simulated_, frame);
  }
  injected_.clear();
}

// Control units hear what was sent in this step, from sent_[first] on, and answer in the next.
void SimulatedVehicle::StepUnits(std::size_t first) {
  const SteadyTime now{simulated_ + kStep};
  for (UnitNode& unit : units_) {
    const std::uint8_t bus = unit.row().bus;
    for (std::size_t i = first; i < sent_.size(); ++i) {
      if (!sent_[i].Is(kSentHere) || sent_[i].channel != first_channel_ + bus) continue;
      unit.OnFrame(sent_[i], now);
    }
    unit.Step(car_, now, now + kStep, [&](SteadyTime at, const Frame& frame) {
      schedule_.Queue(bus, at.time_since_epoch(), frame);
    });
  }
}

void SimulatedVehicle::HandOut(WallTime limit, std::vector<Frame>& frames) {
  // Each bus is in order; together they must be, too.
  const auto earlier = [](const Frame& a, const Frame& b) { return a.time < b.time; };
  std::stable_sort(sent_.begin(), sent_.end(), earlier);
  const auto later = std::find_if(sent_.begin(), sent_.end(),
                                  [limit](const Frame& frame) { return frame.time >= limit; });
  for (auto frame = sent_.begin(); frame != later; ++frame) {
    StreamKey key = KeyOf(*frame);
    key.channel = static_cast<std::uint8_t>(key.channel - first_channel_);
    ++counts_[key];
    frames.push_back(*frame);
  }
  sent_.erase(sent_.begin(), later);
}

bool SimulatedVehicle::Run(Duration until, std::vector<Frame>& frames) {
  until = std::min(until, duration_);
  while (simulated_ < until) {
    StepOnce();
    HandOut(start_ + std::min(until, simulated_), frames);
  }
  HandOut(start_ + until, frames);
  return until < duration_;
}

}  // namespace

Result<std::unique_ptr<Vehicle>> Vehicle::Create(const VehicleOptions& options) {
  const Scenario* scenario = FindScenario(options.scenario);
  if (scenario == nullptr) {
    return Status(ErrorKind::kNotFound, "the bench vehicle has no scenario \"" + options.scenario +
                                            "\"; there are " + ScenarioNames());
  }
  return Create(*scenario, options);
}

std::unique_ptr<Vehicle> Vehicle::Create(const Scenario& scenario, const VehicleOptions& options) {
  return std::make_unique<SimulatedVehicle>(scenario, options);
}

}  // namespace proofdrive::bench
