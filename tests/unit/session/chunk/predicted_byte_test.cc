#include "session/chunk/predicted_byte.h"

#include <gtest/gtest.h>

#include <random>
#include <vector>

#include "session/reader.h"
#include "session/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

namespace proofdrive::session {
namespace {

using Bytes = std::vector<std::uint8_t>;
using testing::IsOk;

// Rows that change like real ones: a counter, a slow value, noise.
Bytes MakeRows(std::size_t count, std::size_t stride) {
  std::mt19937 random(7);
  Bytes rows(count * stride);
  for (std::size_t i = 0; i < count; ++i) {
    for (std::size_t byte = 0; byte < stride; ++byte) {
      rows[i * stride + byte] = static_cast<std::uint8_t>(byte == 0   ? i % 15
                                                          : byte == 1 ? i / 20
                                                          : byte == 2 ? random()
                                                                      : 0x5A);
    }
  }
  return rows;
}

// Bit by bit, as in the AUTOSAR Specification of CRC Routines; `left_out` is the checksum's place.
std::uint8_t Crc8(const std::uint8_t* row, std::size_t stride, std::size_t left_out,
                  unsigned polynomial, unsigned start) {
  unsigned crc = start;
  for (std::size_t i = 0; i < stride; ++i) {
    if (i == left_out) continue;
    crc ^= row[i];
    for (int bit = 0; bit < 8; ++bit) {
      crc = ((crc << 1) ^ ((crc & 0x80) != 0 ? polynomial : 0U)) & 0xFF;
    }
  }
  return static_cast<std::uint8_t>(crc ^ 0xFF);
}

template <class Checksum>
Bytes WithChecksum(std::size_t count, std::size_t stride, std::size_t place,
                   const Checksum& checksum) {
  Bytes rows = MakeRows(count, stride);
  for (std::size_t at = 0; at < rows.size(); at += stride) {
    rows[at + place] = checksum(rows.data() + at);
  }
  return rows;
}

// The byte becomes 0 everywhere, and comes back.
void ExpectTakenOut(const Bytes& rows, std::size_t stride, const PredictedByte& predicted) {
  Bytes combined = rows;
  CombineWithPrediction(predicted, stride, combined);
  for (std::size_t at = 0; at < rows.size(); at += stride) {
    ASSERT_EQ(combined[at + predicted.byte], 0) << at / stride;
  }
  CombineWithPrediction(predicted, stride, combined);
  EXPECT_EQ(combined, rows);
}

TEST(PredictedByte, CrcWithAnyStartAtAnyPlace) {
  for (const std::uint8_t polynomial : {std::uint8_t{0x1D}, std::uint8_t{0x2F}}) {
    for (const std::size_t stride : {4U, 8U, 64U}) {
      for (const std::size_t place : {std::size_t{0}, stride / 2, stride - 1}) {
        const Bytes rows = WithChecksum(200, stride, place, [&](const std::uint8_t* row) {
          return Crc8(row, stride, place, polynomial, 0xFF);
        });
        const PredictedByte found = FindPredictedByte(rows, stride);
        EXPECT_EQ(found.kind, PredictionKind::kCrc8);
        EXPECT_EQ(found.byte, place);
        EXPECT_EQ(found.polynomial, polynomial);
        ExpectTakenOut(rows, stride, found);
      }
    }
  }
}

// Check values of the two (AUTOSAR Specification of CRC Routines): of "123456789".
TEST(PredictedByte, CrcAgreesWithThePublishedValues) {
  Bytes row = {'1', '2', '3', '4', '5', '6', '7', '8', '9', 0};
  EXPECT_EQ(Crc8(row.data(), row.size(), 9, 0x1D, 0xFF), 0x4B);
  EXPECT_EQ(Crc8(row.data(), row.size(), 9, 0x2F, 0xFF), 0xDF);
}

TEST(PredictedByte, ExclusiveOrAndSum) {
  for (const PredictionKind kind : {PredictionKind::kXor, PredictionKind::kSum}) {
    const Bytes rows = WithChecksum(100, 8, 7, [&](const std::uint8_t* row) {
      unsigned value = 0x31;
      for (int i = 0; i < 7; ++i)
        value = kind == PredictionKind::kXor ? value ^ row[i] : value + row[i];
      return static_cast<std::uint8_t>(value);
    });
    // By exclusive or, every byte follows from the others: the last one is taken.
    const PredictedByte found = FindPredictedByte(rows, 8);
    EXPECT_EQ(found.kind, kind);
    EXPECT_EQ(found.byte, 7);
    EXPECT_EQ(found.constant, 0x31);
    ExpectTakenOut(rows, 8, found);
  }
}

TEST(PredictedByte, NothingInNoiseInConstantsAndInFewRows) {
  std::mt19937 random(3);
  Bytes noise(8 * 1000);
  for (std::uint8_t& byte : noise) byte = static_cast<std::uint8_t>(random());
  const Bytes few = WithChecksum(10, 8, 7, [](const std::uint8_t* row) { return row[0]; });
  for (const Bytes& rows : {noise, Bytes(8 * 1000, 0x55), few, Bytes()}) {
    EXPECT_EQ(FindPredictedByte(rows, 8).kind, PredictionKind::kNone);
  }
  EXPECT_EQ(FindPredictedByte(noise, 1).kind, PredictionKind::kNone);
}

// A whole session: exact, also a frame with a wrong checksum, and nearly as small as without one.
TEST(PredictedByte, SessionKeepsFramesAndTheirChecksumsForNothing) {
  const Bytes rows = MakeRows(2000, 8);
  const auto bytes_of = [&](bool with_checksum) {
    testing::MemoryFiles files;
    const auto writer = Writer::Create(files, "d/x.session", {}).value();
    std::vector<Frame> frames(2000);
    for (std::size_t i = 0; i < frames.size(); ++i) {
      frames[i].time = WallFromNanoseconds(static_cast<std::int64_t>(i) * 10'000'000);
      frames[i].length = 8;
      std::copy_n(rows.data() + i * 8, 8, frames[i].data.begin());
      if (with_checksum) frames[i].data[7] = Crc8(rows.data() + i * 8, 8, 7, 0x1D, 0xFF);
      if (i == 1234) frames[i].data[7] ^= 0xFF;
    }
    EXPECT_OK(writer->Append(frames));
    EXPECT_OK(writer->Finish());
    std::size_t next = 0;
    const auto reader = Reader::Open(files, "d/x.session").value();
    EXPECT_OK(reader->ForEachFrame([&](const Frame& frame) {
      EXPECT_EQ(frame, frames[next]) << next;
      ++next;
      return true;
    }));
    EXPECT_EQ(next, frames.size());
    return reader->file_bytes();
  };
  EXPECT_LT(bytes_of(true), bytes_of(false) + 30);
}

// Frames with a wrong checksum are kept as they are.
TEST(PredictedByte, RowsThatDoNotFollowComeBack) {
  std::mt19937 random(5);
  Bytes rows(5 * 300);
  for (std::uint8_t& byte : rows) byte = static_cast<std::uint8_t>(random());
  for (const PredictedByte predicted : {PredictedByte{PredictionKind::kXor, 4, 0, 9},
                                        PredictedByte{PredictionKind::kSum, 0, 0, 200},
                                        PredictedByte{PredictionKind::kCrc8, 2, 0x07, 3}}) {
    Bytes combined = rows;
    CombineWithPrediction(predicted, 5, combined);
    EXPECT_NE(combined, rows);
    CombineWithPrediction(predicted, 5, combined);
    EXPECT_EQ(combined, rows);
  }
}

}  // namespace
}  // namespace proofdrive::session
