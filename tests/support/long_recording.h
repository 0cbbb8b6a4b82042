// Recordings of days that are not one drive repeated: drives, charges, parking and sleep of an
// invented car (long_car.h) on two buses, with 60 signals that have a role, some of them series,
// and frames that nobody describes. Made from a seed, always the same: about 1000 frames for each
// second it is awake, 640 on the average; 100 hours take less than a minute.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/base/files.h"
#include "core/frame/frame.h"
#include "session/writer.h"
#include "tests/support/long_car.h"

namespace proofdrive::testing {

// Definition file of what is sent.
std::string LongDefinitions();

class LongRecording {
 public:
  LongRecording(std::uint64_t seed, double hours);
  ~LongRecording();

  // The frames of the next second it is awake, in order of time; empty at the end.
  const std::vector<Frame>& Next();

 private:
  struct Slot {
    std::int64_t offset_us = 0;
    std::uint32_t sender = 0;
  };
  void MakeSlots();
  void Send(const Slot& slot);

  LongCar car_;
  double left_s_;
  std::int64_t now_us_ = 0;            // since the start, of the second at hand
  std::vector<Slot> slots_;            // of one second
  std::vector<std::uint32_t> sent_;    // frames of each sender so far
  std::vector<std::int64_t> last_us_;  // of each bus
  std::vector<Frame> frames_;
};

// For test programs that link session. No journal.
inline Status WriteLongRecording(Files& files, const std::string& path, std::uint64_t seed,
                                 double hours) {
  session::Header header;
  header.name = "days of an invented car";
  header.started.wall = WallTime(std::chrono::seconds(1'772'366'400));
  for (const auto& [number, bus] : {std::pair(0, "pack"), std::pair(1, "drive")}) {
    session::Channel channel;
    channel.number = static_cast<std::uint8_t>(number);
    channel.name = "can" + std::to_string(number);
    channel.bus = bus;
    channel.bitrate = 500'000;
    header.channels.push_back(channel);
  }
  header.definitions = {{"days.yaml", LongDefinitions()}};
  session::WriterOptions options;
  options.journal = false;
  ASSIGN_OR_RETURN(auto writer, session::Writer::Create(files, path, header, options));
  LongRecording recording(seed, hours);
  while (true) {
    const std::vector<Frame>& frames = recording.Next();
    if (frames.empty()) break;
    RETURN_IF_ERROR(writer->Append(frames));
  }
  return writer->Finish();
}

}  // namespace proofdrive::testing
