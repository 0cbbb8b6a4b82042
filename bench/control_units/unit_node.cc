#include "bench/control_units/unit_node.h"

#include <algorithm>
#include <utility>

#include "bench/frames/buses.h"
#include "decoders/services/service_names.h"

namespace proofdrive::bench {
namespace {

using namespace std::chrono_literals;

constexpr UnitRow kUnits[] = {
    {"pack_controller", kPackBus, 0x7E5, 0x7ED, 12ms, 2, 0, false},
    {"inverter", kDriveBus, 0x7E1, 0x7E9, 45ms, 0, 20, false},  // slow: just within 50 ms
    {"cluster", kDriveBus, 0x7E6, 0x7EE, 8ms, 0, 5, true},
};

constexpr Duration kWork = 700ms;        // on a list of codes
constexpr std::size_t kMostPlanned = 8;  // requests a unit keeps in mind

bool IsSilent(const UnitRow& row, const Scenario& scenario) {
  if (row.silent_after_update && scenario.name == "updated") return true;
  const auto& silent = scenario.silent_units;
  return std::find(silent.begin(), silent.end(), row.name) != silent.end();
}

decoders::ReceiverLimits LimitsOf(const UnitRow& row) {
  decoders::ReceiverLimits limits;
  limits.separation = row.separation;
  limits.message = 255;
  return limits;
}

}  // namespace

std::span<const UnitRow> UnitTable() { return kUnits; }

UnitNode::UnitNode(const UnitRow& row, const Scenario& scenario)
    : row_(row),
      silent_(IsSilent(row, scenario)),
      server_(row.name, scenario),
      physical_({}, LimitsOf(row)),
      functional_({}, LimitsOf(row)),
      sender_(decoders::TransportLayout{}) {}

void UnitNode::OnFrame(const Frame& frame, SteadyTime now) {
  if (silent_ || frame.Is(kExtendedId)) return;
  if (frame.id == row_.request) {
    physical_.OnFrame(frame.payload(), now);
    sender_.OnFrame(frame.payload(), now);
  } else if (frame.id == decoders::kFunctionalId) {
    functional_.OnFrame(frame.payload(), now);
  }
  while (const auto message = physical_.Take()) {
    if (message->problem == decoders::TransferProblem::kNone) Plan(message->bytes, false, now);
  }
  while (const auto message = functional_.Take()) {
    if (message->problem == decoders::TransferProblem::kNone) Plan(message->bytes, true, now);
  }
}

void UnitNode::Plan(ByteSpan request, bool functional, SteadyTime now) {
  if (planned_.size() >= kMostPlanned) return;
  UnitServer::Bytes answer = server_.Answer(request, functional);
  if (answer.empty()) return;
  SteadyTime at = std::max(now, planned_.empty() ? now : planned_.back().at) + row_.thinks;
  const bool listing = request[0] == decoders::kCodeInformation &&
                       answer[0] != decoders::kNegativeResponse && request.size() > 1 &&
                       request[1] == 0x02;
  for (int i = 0; listing && i < row_.pending; ++i) {
    planned_.push_back({at, {decoders::kNegativeResponse, request[0], decoders::kResponsePending}});
    at += kWork;
  }
  planned_.push_back({at, std::move(answer)});
}

Frame UnitNode::Framed(const std::vector<std::uint8_t>& data) const {
  Frame frame;
  frame.id = row_.answer;
  frame.length = static_cast<std::uint8_t>(data.size());
  std::copy(data.begin(), data.end(), frame.data.begin());
  return frame;
}

void UnitNode::Step(const Car& car, SteadyTime now, SteadyTime limit, const Send& send) {
  server_.Observe(car);
  if (!silent_) Run(now, limit, send);
}

void UnitNode::Run(SteadyTime now, SteadyTime limit, const Send& send) {
  while (const auto flow = physical_.Next(now)) {
    send(now, Framed(*flow));
    physical_.OnSent(now);
  }
  physical_.Advance(now);
  sender_.Advance(now);
  for (SteadyTime at = now; at < limit;) {
    if (const auto data = sender_.Next(at)) {
      send(at, Framed(*data));
      sender_.OnSent(at);
      continue;
    }
    const bool busy = sender_.state() == decoders::TransferState::kActive;
    if (!busy && !planned_.empty() && planned_.front().at < limit) {
      at = std::max(at, planned_.front().at);
      (void)sender_.Start(std::move(planned_.front().message), at);
      planned_.pop_front();
      continue;
    }
    const auto due = busy ? sender_.deadline() : std::nullopt;
    if (!due || *due <= at) return;
    at = *due;
  }
}

}  // namespace proofdrive::bench
