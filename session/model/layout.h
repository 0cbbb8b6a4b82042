// The byte layout of session files and journals around the protobuf messages.
//
// The document of this format is docs/session-format.md; both change in one commit.
// DO NOT CHANGE THESE VALUES: they are embedded in files. All integers are little-endian.
#pragma once

#include <array>
#include <cstddef>
#include <cstdint>

namespace proofdrive::session {

// A session file starts with a preamble:
//   8 magic | 4 incompatible features | 4 compatible features | 4 salt | 4 CRC-32C of the 20 before
inline constexpr std::array<std::uint8_t, 8> kFileMagic = {0xD7, 'p', 'r', 'f', 'd', 'r', 'v', 10};
inline constexpr std::size_t kPreambleBytes = 24;

// Bits of "incompatible features" that this reader understands. A reader refuses a file with any
// other bit; a writer sets a bit when a reader that does not know it would read wrongly.
inline constexpr std::uint32_t kPredictedBytes = 0x1;  // StreamBlock.prediction may be there
inline constexpr std::uint32_t kKnownIncompatibleFeatures = kPredictedBytes;

// Then records, in the session file as in the journal:
//   8 marker | 4 length of payload | 4 type | 4 CRC-32C of salt, length, type, payload | payload
// The marker is not valid UTF-8 and lets a reader find the next record after damage. The salt keeps
// bytes of another session (an old block of the disk, a frame that looks like a record) out.
inline constexpr std::array<std::uint8_t, 8> kRecordMarker = {0xC5, 'r',  0xE9, 'c',
                                                              0x1B, 0x92, 0x0D, 0xF6};
inline constexpr std::size_t kRecordHeaderBytes = 20;
// The header record is checked with this salt, so that it can be read when the preamble cannot.
inline constexpr std::uint32_t kHeaderSalt = 0;

enum class RecordType : std::uint32_t {
  kHeader = 1,
  kChunk = 2,
  kNotes = 3,
  kFooter = 4,
  kJournalStart = 5,
  kJournalBatch = 6,
};

// A complete session ends, after the footer record, with a trailer:
//   8 magic | 8 offset of the footer record | 4 CRC-32C of the 16 before
inline constexpr std::array<std::uint8_t, 8> kTrailerMagic = {'e', 'n', 'd', 0xB8,
                                                              'p', 'r', 'f', 10};
inline constexpr std::size_t kTrailerBytes = 20;

enum class Codec : std::uint32_t { kNone = 0, kZstd = 1 };
enum class TimeCoding : std::uint32_t { kSteps = 0, kGrid = 1 };
enum class OrderCoding : std::uint32_t { kStreamNumbers = 0, kSortedByTime = 1 };
enum class PredictionKind : std::uint32_t { kNone = 0, kXor = 1, kSum = 2, kCrc8 = 3 };

// Limits that hold for every file; a reader treats anything larger as damage.
inline constexpr std::size_t kMaxRecordBytes = std::size_t{64} << 20;
inline constexpr std::size_t kMaxFramesPerChunk = std::size_t{1} << 18;
inline constexpr std::size_t kMaxDefinitionBytes = std::size_t{16} << 20;
inline constexpr std::size_t kMaxDefinitionsBytes = std::size_t{128} << 20;  // of one session
inline constexpr std::size_t kMaxEventTextBytes = std::size_t{1} << 20;
inline constexpr std::size_t kMaxHeaderTextBytes = std::size_t{1} << 20;

}  // namespace proofdrive::session
