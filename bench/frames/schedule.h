// When frames are sent: periods, phases, jitter, and arbitration on each bus.
#pragma once

#include <cstdint>
#include <vector>

#include "bench/car/car.h"
#include "bench/car/random.h"
#include "bench/frames/frames.h"
#include "core/frame/frame.h"

namespace proofdrive::bench {

// One bus at 500 kbit/s: a frame waits until the bus is free, then the one with the lowest
// identifier of those waiting goes first (ISO 11898-1 arbitration).
class BusLine {
 public:
  // `ready`: when the control unit has the frame ready, from the start. Frame::time is ignored.
  void Queue(Duration ready, const Frame& frame);
  // Sends what can begin before `limit`; appends with Frame::time = `start` + end of the frame.
  void Send(Duration limit, WallTime start, std::vector<Frame>& sent);

 private:
  struct Waiting {
    Duration ready{0};
    Frame frame;
  };
  std::vector<Waiting> waiting_;
  Duration free_at_{0};
};

class Schedule {
 public:
  Schedule(const Scenario& scenario, std::uint64_t seed, std::uint8_t first_channel,
           WallTime start);

  // A frame that is ready at `ready` (from the start) and not of the table. Frame::channel is set.
  void Queue(std::uint8_t bus, Duration ready, const Frame& frame);
  // Sends the frames due in the step of `car` that begins at `from`, contents as the car is now.
  // Times of all frames appended later are at or after from + step.
  void Step(Duration from, const Car& car, std::vector<Frame>& sent);

 private:
  struct Sender {
    const FrameRow* row = nullptr;
    std::uint32_t id = 0;
    Duration period{0};
    Duration next{0};  // nominal, without jitter
    std::uint8_t count = 0;
    std::uint8_t slot = 0;  // place in the sequence of pages
  };
  void AddSender(const Scenario& scenario, const FrameRow& row);
  Frame MakeFrame(Sender& sender, const Car& car);

  Random jitter_;
  Random noise_;
  std::uint8_t first_channel_;
  WallTime start_;
  std::vector<Sender> senders_;
  BusLine lines_[2];
};

}  // namespace proofdrive::bench
