// One frame of the transport layer of ISO 15765-2 (its "protocol data unit"): what the first bytes
// of a CAN frame's data say about the message they carry a part of. Pure; any thread.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

#include "core/base/bytes.h"
#include "core/base/time.h"

namespace proofdrive::decoders {

// Values of the high half of the first byte, N_PCI type (ISO 15765-2 cl. 9.6).
enum class PduKind : std::uint8_t { kSingle = 0, kFirst = 1, kConsecutive = 2, kFlowControl = 3 };

// FS of a flow control. Every other value ends a transfer.
enum class FlowStatus : std::uint8_t { kContinue = 0, kWait = 1, kOverflow = 2 };

struct Pdu {
  PduKind kind = PduKind::kSingle;
  std::uint32_t length = 0;     // of the whole message: single and first frames
  ByteSpan payload;             // of the message, padding of a single frame left out; points into
                                // the bytes given to ParsePdu
  std::uint8_t sequence = 0;    // consecutive: 0..15
  std::uint8_t flow = 0;        // flow control: FS as sent, 0..15
  std::uint8_t block_size = 0;  // flow control: consecutive frames until the next one, 0 = no limit
  std::uint8_t separation = 0;  // flow control: STmin as sent, see SeparationTime
  std::uint8_t data_length = 0;  // CAN_DL, bytes of the frame
};

// The data bytes of one frame. `address_byte`: extended or mixed addressing, a byte comes before
// N_PCI. nullopt for what the standard says to ignore: lengths of 0 or beyond the frame, a first
// frame that is not full or announces what a single frame could hold, an unknown type.
std::optional<Pdu> ParsePdu(ByteSpan data, bool address_byte);

// STmin in time: 0..127 ms, 100..900 us; reserved values count as 127 ms (cl. 9.6.5.4).
Duration SeparationTime(std::uint8_t separation);
// The smallest STmin that is at least `time`, at most 127 ms.
std::uint8_t SeparationByte(Duration time);

// How frames are built. The receiver takes the length of frames from the first frame.
struct TransportLayout {
  // TX_DL, most bytes of a frame: 8 for classic CAN; 12, 16, 20, 24, 32, 48 or 64 for FD.
  std::uint8_t frame_bytes = 8;
  // Extended or mixed addressing: the byte before N_PCI in sent and in received frames.
  std::optional<std::uint8_t> sent_address;
  std::optional<std::uint8_t> received_address;
  // Fills classic frames up to 8 bytes; nullopt: frames are as short as their content. FD frames
  // over 8 bytes are filled up to a length that exists, with 0xCC when nothing else is said.
  std::optional<std::uint8_t> padding = std::uint8_t{0xCC};

  // Bytes before N_PCI.
  std::size_t sent_prefix() const { return sent_address ? 1 : 0; }
};

// The longest message one frame can carry.
std::size_t LargestSingle(const TransportLayout& layout);

// REQUIRES: 1 <= message.size() <= LargestSingle(layout).
std::vector<std::uint8_t> BuildSingle(const TransportLayout& layout, ByteSpan message);
// The frame with the length and the beginning of `message`, which does not fit into one frame.
// `taken` receives how many bytes of the message it carries.
std::vector<std::uint8_t> BuildFirst(const TransportLayout& layout, ByteSpan message,
                                     std::size_t& taken);
// `rest` is what has not been sent yet, not empty.
std::vector<std::uint8_t> BuildConsecutive(const TransportLayout& layout, std::uint8_t sequence,
                                           ByteSpan rest, std::size_t& taken);
std::vector<std::uint8_t> BuildFlowControl(const TransportLayout& layout, FlowStatus status,
                                           std::uint8_t block_size, std::uint8_t separation);

// Why a message did not come through whole (N_Result of cl. 8.3.7, and what only an onlooker sees).
// DO NOT CHANGE the numbers: sessions keep them; new ones go to the end.
enum class TransferProblem : std::uint8_t {
  kNone = 0,
  kSendTimeout = 1,         // N_TIMEOUT_A: a frame could not be put on the bus in time
  kFlowControlTimeout = 2,  // N_TIMEOUT_Bs: no flow control came
  kFrameTimeout = 3,        // N_TIMEOUT_Cr: no consecutive frame came
  kWrongSequence = 4,       // N_WRONG_SN
  kInvalidFlowStatus = 5,   // N_INVALID_FS
  kUnexpectedFrame = 6,     // N_UNEXP_PDU: a new message began before the old one had ended
  kTooManyWaits = 7,        // N_WFT_OVRN
  kOverflow = 8,            // N_BUFFER_OVFLW: the receiver has no room
  kTooLong = 9,             // longer than we are willing to keep
  kEndOfRecording = 10,     // an onlooker's recording ends before the message does
  kCrowded = 11,            // an onlooker saw more messages begin at once than it follows
};
// "no consecutive frame came", ...; empty for kNone.
std::string_view TransferProblemText(TransferProblem problem);

}  // namespace proofdrive::decoders
