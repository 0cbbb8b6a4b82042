#include "daemon/asking/request_gate.h"

#include <algorithm>
#include <string>
#include <utility>

#include "decoders/transport/pdu.h"

namespace proofdrive::daemon {
namespace {

bool IsFlowControl(const Frame& frame, bool address_byte) {
  const auto pdu = decoders::ParsePdu(frame.payload(), address_byte);
  return pdu && pdu->kind == decoders::PduKind::kFlowControl;
}

}  // namespace

void RequestGate::Add(std::uint8_t first, std::size_t count,
                      const std::shared_ptr<FrameSender>& sender) {
  for (std::size_t i = 0; i < count; ++i) {
    senders_[static_cast<std::uint8_t>(first + i)] = sender;
  }
}

std::vector<std::uint8_t> RequestGate::channels() const {
  std::vector<std::uint8_t> channels;
  for (const auto& [channel, sender] : senders_) channels.push_back(channel);
  return channels;
}

double RequestGate::TokensAt(SteadyTime now) const {
  return std::min(kBurst, tokens_ + ToSeconds(now - counted_) * kRate);
}

SteadyTime RequestGate::ReadyAt(SteadyTime now) const {
  const double missing = 1 - TokensAt(now);
  return missing <= 0 ? now : now + FromSeconds(missing / kRate) + std::chrono::milliseconds(1);
}

Status RequestGate::Send(const Frame& frame, decoders::BusAddress to,
                         decoders::Permission permission, SteadyTime now) {
  const bool address_byte = to.byte.has_value();
  if (to.id != frame.id || to.extended != frame.Is(kExtendedId) ||
      (address_byte && to.byte != frame.data[0])) {
    return Status(ErrorKind::kInvalidArgument, "the frame does not go where it should");
  }
  RETURN_IF_ERROR(decoders::CheckRequestFrame(frame.payload(), address_byte, permission));
  const auto sender = senders_.find(frame.channel);
  if (sender == senders_.end()) {
    return Status(ErrorKind::kInvalidArgument,
                  "channel " + std::to_string(frame.channel) + " has no way to send");
  }
  if (!IsFlowControl(frame, address_byte)) {
    const double tokens = TokensAt(now);
    if (tokens < 1) return Status(ErrorKind::kBusy, "too many requests at once");
    tokens_ = tokens - 1;
    counted_ = now;
  }
  RETURN_IF_ERROR(sender->second->Send(frame));
  ++sent_;
  return Status::Ok();
}

}  // namespace proofdrive::daemon
