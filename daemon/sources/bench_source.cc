#include "daemon/sources/bench_source.h"

#include <algorithm>
#include <mutex>
#include <utility>

#include "bench/frames/buses.h"
#include "bench/scenarios/scenarios.h"
#include "core/base/text.h"
#include "daemon/sources/paced_argument.h"
#include "daemon/sources/paced_thread.h"
#include "daemon/sources/simulation.h"

namespace proofdrive::daemon {
namespace {

constexpr std::uint32_t kBitrate = 500000;  // of both buses, see bench/vehicle.h

// Simulated time made at once: short enough that frames come evenly at the usual speeds, long
// enough to be quick at high ones.
Duration StepFor(double speed) {
  const double seconds = speed == 0 ? 0.25 : std::clamp(speed * 0.02, 0.001, 0.25);
  return FromSeconds(seconds);
}

class BenchSource : public FrameSource {
 public:
  BenchSource(std::unique_ptr<bench::Vehicle> vehicle, double speed, std::uint8_t first_channel)
      : vehicle_(std::move(vehicle)),
        step_(StepFor(speed)),
        first_channel_(first_channel),
        thread_(speed) {}
  ~BenchSource() override { thread_.Stop(); }

  std::vector<session::Channel> channels() const override {
    return {Channel(bench::kPackBus, "pack"), Channel(bench::kDriveBus, "drive")};
  }
  bool live() const override { return false; }
  Simulation* simulation() override { return &simulation_; }
  Status Start(SourceSink& sink) override {
    thread_.Start([this, &sink] { Deliver(sink); });
    return Status::Ok();
  }
  void Stop() override { thread_.Stop(); }
  bool finished() const override { return thread_.finished(); }

 private:
  class VehicleSimulation : public Simulation, private FrameSender {
   public:
    explicit VehicleSimulation(BenchSource& source) : source_(source) {}
    FrameSender& inlet() override { return *this; }
    std::string TruthJson() const override {
      const std::lock_guard lock(source_.mutex_);
      return source_.vehicle_->TruthJson();
    }

   private:
    Status Send(const Frame& frame) override {
      const std::lock_guard lock(source_.mutex_);
      source_.vehicle_->Inject(frame);
      return Status::Ok();
    }

    BenchSource& source_;
  };

  session::Channel Channel(std::uint8_t offset, const std::string& bus) const {
    session::Channel channel;
    channel.number = static_cast<std::uint8_t>(first_channel_ + offset);
    channel.name = "bench-" + bus;
    channel.bus = bus;
    channel.bitrate = kBitrate;
    channel.timestamps = "simulated";
    return channel;
  }

  bool Simulate(Duration until, std::vector<Frame>& frames) {
    const std::lock_guard lock(mutex_);
    return vehicle_->Run(until, frames);
  }

  void Deliver(SourceSink& sink) {
    std::vector<Frame> frames;
    Duration until = step_;
    for (bool more = true; more && thread_.WaitFor(until - step_); until += step_) {
      frames.clear();
      more = Simulate(until, frames);
      if (!frames.empty()) sink.OnFrames(frames);
    }
  }

  std::mutex mutex_;  // over the vehicle: simulated here, asked for its truth elsewhere
  std::unique_ptr<bench::Vehicle> vehicle_;
  const Duration step_;
  const std::uint8_t first_channel_;
  VehicleSimulation simulation_{*this};
  PacedThread thread_;
};

Result<PacedArgument> CheckScenario(const std::string& argument) {
  ASSIGN_OR_RETURN(PacedArgument paced, ParsePacedArgument(argument));
  if (bench::HasScenario(paced.name)) return paced;
  std::vector<std::string> names;
  for (const bench::Scenario& one : bench::ScenarioTable()) names.emplace_back(one.name);
  for (const bench::Scenario& one : bench::CheckScenarioTable()) names.emplace_back(one.name);
  const std::string nearest = NearestName(paced.name, names);
  return Status(ErrorKind::kNotFound,
                "there is no scenario \"" + paced.name + "\"." +
                    (nearest.empty() ? "" : " Did you mean " + nearest + "?") +
                    " Possible: " + Join(names, ", "));
}

}  // namespace

Result<std::string> CheckBenchArgument(const std::string& argument) {
  ASSIGN_OR_RETURN(const PacedArgument paced, CheckScenario(argument));
  return paced.name;
}

Result<std::unique_ptr<FrameSource>> MakeBenchSource(const std::string& argument,
                                                     const SourceContext& context) {
  ASSIGN_OR_RETURN(const PacedArgument paced, CheckScenario(argument));
  bench::VehicleOptions options;
  options.scenario = paced.name;
  options.start = context.clock.Now().wall;
  options.first_channel = context.first_channel;
  ASSIGN_OR_RETURN(auto vehicle, bench::Vehicle::Create(options));
  return MakeVehicleSource(std::move(vehicle), paced.speed, context.first_channel);
}

std::unique_ptr<FrameSource> MakeVehicleSource(std::unique_ptr<bench::Vehicle> vehicle,
                                               double speed, std::uint8_t first_channel) {
  return std::make_unique<BenchSource>(std::move(vehicle), speed, first_channel);
}

}  // namespace proofdrive::daemon
