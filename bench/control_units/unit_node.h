// One control unit of the bench vehicle on its bus: receives requests, takes its time, answers.
#pragma once

#include <deque>
#include <functional>
#include <string_view>
#include <vector>

#include "bench/control_units/unit_server.h"
#include "core/frame/frame.h"
#include "decoders/transport/addresses.h"
#include "decoders/transport/receiver.h"
#include "decoders/transport/sender.h"

namespace proofdrive::bench {

struct UnitRow {
  std::string_view name;
  std::uint8_t bus = 0;
  std::uint32_t request = 0;
  std::uint32_t answer = 0;
  Duration thinks{0};           // before its answer
  std::uint8_t pending = 0;     // "response pending" so many times before a list of codes
  std::uint8_t separation = 0;  // STmin it asks for and keeps to
  bool silent_after_update = false;
};

// Invented identifiers within the range that ISO 15765-4 gives to control units.
std::span<const UnitRow> UnitTable();

// Times are those of the simulation, as SteadyTime from its start.
class UnitNode {
 public:
  UnitNode(const UnitRow& row, const Scenario& scenario);

  // A frame of its bus, whoever sent it.
  void OnFrame(const Frame& frame, SteadyTime now);
  // What it sends between `now` and `limit`: calls `send` with when and what.
  using Send = std::function<void(SteadyTime, const Frame&)>;
  void Step(const Car& car, SteadyTime now, SteadyTime limit, const Send& send);

  const UnitRow& row() const { return row_; }
  const UnitServer& server() const { return server_; }

 private:
  struct Planned {
    SteadyTime at;
    UnitServer::Bytes message;
  };
  void Plan(ByteSpan request, bool functional, SteadyTime now);
  void Run(SteadyTime now, SteadyTime limit, const Send& send);
  Frame Framed(const std::vector<std::uint8_t>& data) const;

  const UnitRow& row_;
  const bool silent_;
  UnitServer server_;
  decoders::Receiver physical_;
  decoders::Receiver functional_;
  decoders::Sender sender_;
  std::deque<Planned> planned_;
};

}  // namespace proofdrive::bench
