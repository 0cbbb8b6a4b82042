// Plays the bench vehicle, or a pattern of all kinds of frame, onto CAN interfaces and lists what
// it sent. Options are NAME=VALUE:
//   vehicle=SCENARIO   frames of the bench vehicle (an invented car), or
//   pattern=NAME       frames of tests/rig/patterns.h
//   frames=N           of a pattern (1000)          every=TIME  apart (1 ms)
//   for=TIME           of a vehicle (its scenario)  from=TIME   skip what is before (0 s)
//   seed=N             (1)
//   to=IFACE,IFACE     one per bus, in order; "" leaves a bus out. None: list only, send nothing.
//   truth=FILE         what the vehicle was really like, as JSON
//   list=FILE          what was sent, in the form of tests/rig/frame_list.h
#include <time.h>

#include <cerrno>
#include <cstdio>
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "bench/vehicle.h"
#include "core/base/posix_files.h"
#include "core/base/text.h"
#include "tests/rig/can_port.h"
#include "tests/rig/frame_list.h"
#include "tests/rig/patterns.h"

namespace proofdrive::rig {
namespace {

using Options = std::map<std::string, std::string>;
constexpr Duration kStep = std::chrono::milliseconds(100);

Result<Options> ReadOptions(int count, char** arguments) {
  Options options{{"vehicle", ""}, {"pattern", ""}, {"frames", "1000"}, {"every", "1 ms"},
                  {"for", "24 h"}, {"from", "0 s"}, {"seed", "1"},      {"to", ""},
                  {"list", ""},    {"truth", ""}};
  for (int i = 1; i < count; ++i) {
    const std::string text = arguments[i];
    const std::size_t equals = text.find('=');
    const auto option = options.find(text.substr(0, equals));
    if (equals == std::string::npos || option == options.end()) {
      return Status(ErrorKind::kInvalidArgument, "no option \"" + text + "\"");
    }
    option->second = text.substr(equals + 1);
  }
  return options;
}

// Sends frames when their time has come and lists them.
class Sender {
 public:
  Status Open(const Options& options) {
    if (!options.at("to").empty()) {
      for (const std::string& interface : Split(options.at("to"), ',')) {
        ports_.push_back(interface.empty() ? nullptr : std::make_unique<CanPort>());
        if (ports_.back()) RETURN_IF_ERROR(ports_.back()->Open(interface));
      }
    }
    clock_gettime(CLOCK_MONOTONIC, &start_);
    return list_.Open(options.at("list"));
  }

  // `due` counts from Open.
  Status Send(Frame frame, Duration due) {
    if (!ports_.empty()) {
      if (frame.channel >= ports_.size() || !ports_[frame.channel]) return Status::Ok();
      WaitUntil(due);
      frame.time = Now();
      RETURN_IF_ERROR(ports_[frame.channel]->Send(frame));
    }
    list_.Add(frame);
    ++sent_[frame.channel];
    return Status::Ok();
  }

  Status Close() {
    for (const auto& [channel, count] : sent_) std::printf("channel %u: %lu\n", channel, count);
    return list_.Close();
  }

 private:
  void WaitUntil(Duration due) const {
    const std::int64_t ns = start_.tv_nsec + due.count();
    timespec when{};
    when.tv_sec = start_.tv_sec + ns / 1'000'000'000;
    when.tv_nsec = ns % 1'000'000'000;
    while (clock_nanosleep(CLOCK_MONOTONIC, TIMER_ABSTIME, &when, nullptr) == EINTR) {
    }
  }

  std::vector<std::unique_ptr<CanPort>> ports_;
  FrameList list_;
  timespec start_{};
  std::map<std::uint8_t, unsigned long> sent_;
};

Status SendPattern(const Options& options, Sender& sender) {
  ASSIGN_OR_RETURN(const std::uint64_t count, ParseUint64(options.at("frames")));
  ASSIGN_OR_RETURN(const std::uint64_t seed, ParseUint64(options.at("seed")));
  ASSIGN_OR_RETURN(const Duration every, ParseDuration(options.at("every")));
  ASSIGN_OR_RETURN(const std::vector<Frame> frames,
                   MakePattern(options.at("pattern"), count, every, seed));
  for (const Frame& frame : frames) {
    RETURN_IF_ERROR(sender.Send(frame, frame.time.time_since_epoch()));
  }
  return Status::Ok();
}

Status SendVehicle(const Options& options, Sender& sender) {
  bench::VehicleOptions wanted;
  wanted.scenario = options.at("vehicle");
  wanted.start = WallFromNanoseconds(1'700'000'000'000'000'000);
  ASSIGN_OR_RETURN(wanted.seed, ParseUint64(options.at("seed")));
  ASSIGN_OR_RETURN(const Duration length, ParseDuration(options.at("for")));
  ASSIGN_OR_RETURN(const Duration skipped, ParseDuration(options.at("from")));
  ASSIGN_OR_RETURN(auto vehicle, bench::Vehicle::Create(wanted));
  std::vector<Frame> frames;
  bool more = true;
  for (Duration until = kStep; more && until <= skipped + length; until += kStep) {
    frames.clear();
    more = vehicle->Run(until, frames);
    for (const Frame& frame : frames) {
      const Duration due = frame.time - wanted.start - skipped;
      if (due.count() >= 0) RETURN_IF_ERROR(sender.Send(frame, due));
    }
  }
  if (options.at("truth").empty()) return Status::Ok();
  PosixFiles files;
  return ReplaceFile(files, options.at("truth"), vehicle->TruthJson());
}

Status Run(int argc, char** argv) {
  ASSIGN_OR_RETURN(const Options options, ReadOptions(argc, argv));
  Sender sender;
  RETURN_IF_ERROR(sender.Open(options));
  const bool pattern = !options.at("pattern").empty();
  RETURN_IF_ERROR(pattern ? SendPattern(options, sender) : SendVehicle(options, sender));
  return sender.Close();
}

}  // namespace
}  // namespace proofdrive::rig

int main(int argc, char** argv) {
  const proofdrive::Status status = proofdrive::rig::Run(argc, argv);
  if (status.ok()) return 0;
  std::fprintf(stderr, "rig_transmit: %s\n", status.message().c_str());
  return 2;
}
