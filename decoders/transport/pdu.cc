#include "decoders/transport/pdu.h"

#include <algorithm>

#include "core/frame/frame.h"

namespace proofdrive::decoders {
namespace {

constexpr std::size_t kClassic = kMaxClassicLength;
constexpr std::uint8_t kUsualPadding = 0xCC;
constexpr std::uint32_t kLargestShortLength = 0xFFF;  // of 12 bits; beyond: 32 bits
constexpr std::uint8_t kLongestSeparation = 0x7F;

std::uint8_t TypeByte(PduKind kind, std::size_t low) {
  return static_cast<std::uint8_t>(static_cast<unsigned>(kind) << 4 | (low & 0xF));
}

std::optional<Pdu> ParseSingle(ByteSpan pci, std::size_t data_length) {
  Pdu pdu;
  pdu.kind = PduKind::kSingle;
  std::size_t header = 1;
  pdu.length = pci[0] & 0xF;
  if (data_length > kClassic) {
    if (pdu.length != 0 || pci.size() < 2) return std::nullopt;
    pdu.length = pci[1];
    header = 2;
  }
  if (pdu.length == 0 || pdu.length > pci.size() - header) return std::nullopt;
  pdu.payload = pci.subspan(header, pdu.length);
  return pdu;
}

// The shortest message that may come in several frames of `data_length` (cl. 9.6.3.1).
std::size_t ShortestSegmented(std::size_t data_length, std::size_t prefix) {
  return (data_length <= kClassic ? kClassic : data_length - 1) - prefix;
}

std::optional<Pdu> ParseFirst(ByteSpan pci, std::size_t data_length) {
  if (data_length < kClassic) return std::nullopt;
  Pdu pdu;
  pdu.kind = PduKind::kFirst;
  ByteReader reader(pci, ByteOrder::kBig);
  pdu.length = reader.Get<std::uint16_t>() & kLargestShortLength;
  if (pdu.length == 0) {
    pdu.length = reader.Get<std::uint32_t>();
    if (!reader.ok() || pdu.length <= kLargestShortLength) return std::nullopt;
  }
  const std::size_t prefix = data_length - pci.size();
  if (pdu.length < ShortestSegmented(data_length, prefix)) return std::nullopt;
  pdu.payload = pci.subspan(reader.position());
  return pdu;
}

std::optional<Pdu> ParseConsecutive(ByteSpan pci) {
  if (pci.size() < 2) return std::nullopt;
  Pdu pdu;
  pdu.kind = PduKind::kConsecutive;
  pdu.sequence = pci[0] & 0xF;
  pdu.payload = pci.subspan(1);
  return pdu;
}

std::optional<Pdu> ParseFlowControl(ByteSpan pci) {
  if (pci.size() < 3) return std::nullopt;
  Pdu pdu;
  pdu.kind = PduKind::kFlowControl;
  pdu.flow = pci[0] & 0xF;
  pdu.block_size = pci[1];
  pdu.separation = pci[2];
  return pdu;
}

std::optional<Pdu> ParseAfterAddress(ByteSpan pci, std::size_t data_length) {
  switch (pci[0] >> 4) {
    case 0:
      return ParseSingle(pci, data_length);
    case 1:
      return ParseFirst(pci, data_length);
    case 2:
      return ParseConsecutive(pci);
    case 3:
      return ParseFlowControl(pci);
    default:
      return std::nullopt;
  }
}

std::vector<std::uint8_t> Begin(const TransportLayout& layout) {
  std::vector<std::uint8_t> data;
  if (layout.sent_address) data.push_back(*layout.sent_address);
  return data;
}

std::vector<std::uint8_t> Filled(const TransportLayout& layout, std::vector<std::uint8_t> data) {
  std::size_t length = data.size();
  if (length > kClassic) {
    length = FdLengthOfDlc(FdDlcOfLength(static_cast<std::uint8_t>(length)));
  } else if (layout.padding) {
    length = kClassic;
  }
  data.resize(length, layout.padding.value_or(kUsualPadding));
  return data;
}

// As much of `from` as the frame has room for.
std::size_t Append(const TransportLayout& layout, ByteSpan from, std::vector<std::uint8_t>& data) {
  const std::size_t count = std::min(from.size(), layout.frame_bytes - data.size());
  data.insert(data.end(), from.begin(), from.begin() + static_cast<std::ptrdiff_t>(count));
  return count;
}

}  // namespace

std::optional<Pdu> ParsePdu(ByteSpan data, bool address_byte) {
  const std::size_t prefix = address_byte ? 1 : 0;
  if (data.size() <= prefix) return std::nullopt;
  auto pdu = ParseAfterAddress(data.subspan(prefix), data.size());
  if (pdu) pdu->data_length = static_cast<std::uint8_t>(data.size());
  return pdu;
}

Duration SeparationTime(std::uint8_t separation) {
  if (separation >= 0xF1 && separation <= 0xF9) {
    return std::chrono::microseconds(100) * (separation & 0xF);
  }
  return std::chrono::milliseconds(std::min(separation, kLongestSeparation));
}

std::uint8_t SeparationByte(Duration time) {
  if (time <= Duration(0)) return 0;
  const auto hundreds = (time + std::chrono::microseconds(99)) / std::chrono::microseconds(100);
  if (time <= std::chrono::microseconds(900)) return static_cast<std::uint8_t>(0xF0 + hundreds);
  const auto ms = (time + std::chrono::nanoseconds(999'999)) / std::chrono::milliseconds(1);
  return static_cast<std::uint8_t>(std::min<std::int64_t>(ms, kLongestSeparation));
}

std::size_t LargestSingle(const TransportLayout& layout) {
  const std::size_t header = layout.frame_bytes > kClassic ? 2 : 1;
  return layout.frame_bytes - header - layout.sent_prefix();
}

std::vector<std::uint8_t> BuildSingle(const TransportLayout& layout, ByteSpan message) {
  auto data = Begin(layout);
  // The short form wherever it does, also on FD (cl. 9.6.2.1).
  if (message.size() + 1 + data.size() <= kClassic) {
    data.push_back(TypeByte(PduKind::kSingle, message.size()));
  } else {
    data.push_back(TypeByte(PduKind::kSingle, 0));
    data.push_back(static_cast<std::uint8_t>(message.size()));
  }
  Append(layout, message, data);
  return Filled(layout, std::move(data));
}

std::vector<std::uint8_t> BuildFirst(const TransportLayout& layout, ByteSpan message,
                                     std::size_t& taken) {
  auto data = Begin(layout);
  ByteWriter writer(data, ByteOrder::kBig);
  if (message.size() <= kLargestShortLength) {
    data.push_back(TypeByte(PduKind::kFirst, message.size() >> 8));
    data.push_back(static_cast<std::uint8_t>(message.size() & 0xFF));
  } else {
    data.push_back(TypeByte(PduKind::kFirst, 0));
    data.push_back(0);
    writer.Put(static_cast<std::uint32_t>(message.size()));
  }
  taken = Append(layout, message, data);
  return data;
}

std::vector<std::uint8_t> BuildConsecutive(const TransportLayout& layout, std::uint8_t sequence,
                                           ByteSpan rest, std::size_t& taken) {
  auto data = Begin(layout);
  data.push_back(TypeByte(PduKind::kConsecutive, sequence));
  taken = Append(layout, rest, data);
  return Filled(layout, std::move(data));
}

std::vector<std::uint8_t> BuildFlowControl(const TransportLayout& layout, FlowStatus status,
                                           std::uint8_t block_size, std::uint8_t separation) {
  auto data = Begin(layout);
  data.push_back(TypeByte(PduKind::kFlowControl, static_cast<std::size_t>(status)));
  data.push_back(block_size);
  data.push_back(separation);
  return Filled(layout, std::move(data));
}

std::string_view TransferProblemText(TransferProblem problem) {
  switch (problem) {
    case TransferProblem::kNone:
      return "";
    case TransferProblem::kSendTimeout:
      return "a frame could not be sent in time";
    case TransferProblem::kFlowControlTimeout:
      return "no flow control came";
    case TransferProblem::kFrameTimeout:
      return "no consecutive frame came";
    case TransferProblem::kWrongSequence:
      return "a frame is missing or out of order";
    case TransferProblem::kInvalidFlowStatus:
      return "the flow control makes no sense";
    case TransferProblem::kUnexpectedFrame:
      return "a new message began before this one had ended";
    case TransferProblem::kTooManyWaits:
      return "asked to wait too often";
    case TransferProblem::kOverflow:
      return "the receiver has no room for it";
    case TransferProblem::kTooLong:
      return "longer than is kept";
    case TransferProblem::kEndOfRecording:
      return "the recording ends before it does";
    case TransferProblem::kCrowded:
      return "too many messages began at once";
  }
  return "";
}

}  // namespace proofdrive::decoders
