#include "daemon/sources/bench/vehicle.h"

#include <algorithm>

#include "daemon/sources/bench/car.h"
#include "daemon/sources/bench/scenarios.h"
#include "daemon/sources/bench/schedule.h"
#include "daemon/sources/bench/truth.h"

namespace proofdrive::daemon::bench {
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
        truth_(car_, options.seed) {}

  Duration duration() const override { return duration_; }
  bool Run(Duration until, std::vector<Frame>& frames) override;
  std::string TruthJson() const override { return truth_.Json(car_, counts_); }

 private:
  void StepOnce();
  void HandOut(WallTime limit, std::vector<Frame>& frames);

  const WallTime start_;
  const std::uint8_t first_channel_;
  const Duration duration_;
  Car car_;
  Schedule schedule_;
  Truth truth_;
  Duration simulated_{0};
  // Sent but not handed out: frames that end after the step they began in.
  std::vector<Frame> sent_;
  FrameCounts counts_;
};

void SimulatedVehicle::StepOnce() {
  car_.Step();
  truth_.Observe(car_);
  schedule_.Step(simulated_, car_, sent_);
  simulated_ += kStep;
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
  return std::unique_ptr<Vehicle>(std::make_unique<SimulatedVehicle>(*scenario, options));
}

}  // namespace proofdrive::daemon::bench
