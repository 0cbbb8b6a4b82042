#include "daemon/sources/can/can_errors.h"

#include <linux/can/error.h>

#include <string>
#include <utility>

namespace proofdrive::daemon {
namespace {

// Class bit of newer kernels: data bytes 6 and 7 hold the counters. Older headers lack the name.
constexpr std::uint32_t kCountersValid = 0x200;

std::string StateOf(const Frame& frame) {
  if (frame.id & CAN_ERR_BUSOFF) return "bus-off";
  if (frame.id & CAN_ERR_RESTARTED) return "restarted";
  if ((frame.id & CAN_ERR_CRTL) == 0) return {};
  const std::uint8_t bits = frame.data[1];
  if (bits & (CAN_ERR_CRTL_RX_PASSIVE | CAN_ERR_CRTL_TX_PASSIVE)) return "error passive";
  if (bits & (CAN_ERR_CRTL_RX_WARNING | CAN_ERR_CRTL_TX_WARNING)) return "error warning";
  if (bits & CAN_ERR_CRTL_ACTIVE) return "error active";
  return {};
}

std::string KindOfProtocolError(std::uint8_t bits) {
  constexpr std::pair<std::uint8_t, const char*> kKinds[] = {
      {CAN_ERR_PROT_STUFF, "stuff error"},
      {CAN_ERR_PROT_FORM, "form error"},
      {CAN_ERR_PROT_BIT0, "bit error (dominant bit not seen)"},
      {CAN_ERR_PROT_BIT1, "bit error (recessive bit not seen)"},
      {CAN_ERR_PROT_BIT, "bit error"},
      {CAN_ERR_PROT_OVERLOAD, "overload"},
  };
  for (const auto& [bit, text] : kKinds) {
    if (bits & bit) return text;
  }
  return "protocol error";
}

// Part of the frame it happened in; empty when not told.
std::string PlaceOf(std::uint8_t location) {
  switch (location) {
    case CAN_ERR_PROT_LOC_UNSPEC:
      return {};
    case CAN_ERR_PROT_LOC_SOF:
      return "at the start of frame";
    case CAN_ERR_PROT_LOC_DLC:
      return "in the length code";
    case CAN_ERR_PROT_LOC_DATA:
      return "in the data field";
    case CAN_ERR_PROT_LOC_CRC_SEQ:
    case CAN_ERR_PROT_LOC_CRC_DEL:
      return "in the check sequence";
    case CAN_ERR_PROT_LOC_ACK:
    case CAN_ERR_PROT_LOC_ACK_DEL:
      return "in the acknowledge field";
    case CAN_ERR_PROT_LOC_EOF:
      return "at the end of frame";
    case CAN_ERR_PROT_LOC_INTERM:
      return "between frames";
    default:
      return "in the identifier or control field";
  }
}

std::string ProtocolText(const Frame& frame) {
  const std::string place = PlaceOf(frame.data[3]);
  return KindOfProtocolError(frame.data[2]) + (place.empty() ? "" : " " + place);
}

std::string ArbitrationText(const Frame& frame) {
  if (frame.data[0] == CAN_ERR_LOSTARB_UNSPEC) return "lost arbitration";
  return "lost arbitration at bit " + std::to_string(frame.data[0]);
}

std::string WiresText(std::uint8_t bits) {
  constexpr std::pair<std::uint8_t, const char*> kWires[] = {
      {CAN_ERR_TRX_CANH_NO_WIRE, "CAN high has no wire"},
      {CAN_ERR_TRX_CANH_SHORT_TO_BAT, "CAN high shorted to the battery"},
      {CAN_ERR_TRX_CANH_SHORT_TO_VCC, "CAN high shorted to the supply"},
      {CAN_ERR_TRX_CANH_SHORT_TO_GND, "CAN high shorted to ground"},
      {CAN_ERR_TRX_CANL_NO_WIRE, "CAN low has no wire"},
      {CAN_ERR_TRX_CANL_SHORT_TO_BAT, "CAN low shorted to the battery"},
      {CAN_ERR_TRX_CANL_SHORT_TO_VCC, "CAN low shorted to the supply"},
      {CAN_ERR_TRX_CANL_SHORT_TO_GND, "CAN low shorted to ground"},
      {CAN_ERR_TRX_CANL_SHORT_TO_CANH, "CAN high and low shorted together"},
  };
  for (const auto& [code, text] : kWires) {
    const std::uint8_t half = code < 0x10 ? 0x0F : 0xF0;  // one half byte per wire
    if ((bits & half) == code) return text;
  }
  return "transceiver fault";
}

}  // namespace

std::vector<session::Event> EventsOf(const Frame& frame) {
  std::vector<session::Event> events;
  session::Event event;
  event.time = frame.time;
  event.channel = frame.channel;
  event.kind = session::EventKind::kChannelState;
  event.text = StateOf(frame);
  if (event.text.empty()) return events;
  events.push_back(event);
  if (frame.id & kCountersValid) {
    event.kind = session::EventKind::kErrorCounters;
    event.text = "tx " + std::to_string(frame.data[6]) + " rx " + std::to_string(frame.data[7]);
    events.push_back(event);
  }
  return events;
}

std::string_view BusFaultName(BusFault fault) {
  constexpr std::string_view kNames[kBusFaultCount] = {
      "lost arbitration",  "no acknowledge",   "protocol error",
      "transceiver fault", "transmit timeout", "receive queue of the controller overflowed"};
  return kNames[static_cast<std::size_t>(fault)];
}

std::vector<FaultReport> FaultsOf(const Frame& frame) {
  std::vector<FaultReport> faults;
  const auto add = [&faults](BusFault fault, std::string text) {
    faults.push_back({fault, std::move(text)});
  };
  const auto named = [](BusFault fault) { return std::string(BusFaultName(fault)); };
  if (frame.id & CAN_ERR_LOSTARB) add(BusFault::kLostArbitration, ArbitrationText(frame));
  if (frame.id & CAN_ERR_ACK) add(BusFault::kNoAcknowledge, named(BusFault::kNoAcknowledge));
  if (frame.id & CAN_ERR_PROT) add(BusFault::kProtocol, ProtocolText(frame));
  if (frame.id & CAN_ERR_TRX) add(BusFault::kTransceiver, WiresText(frame.data[4]));
  if (frame.id & CAN_ERR_TX_TIMEOUT) {
    add(BusFault::kTransmitTimeout, named(BusFault::kTransmitTimeout));
  }
  if ((frame.id & CAN_ERR_CRTL) && (frame.data[1] & CAN_ERR_CRTL_RX_OVERFLOW)) {
    add(BusFault::kOverflow, named(BusFault::kOverflow));
  }
  return faults;
}

}  // namespace proofdrive::daemon
