#include "session/file/record.h"

#include <gtest/gtest.h>

#include <algorithm>

#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

namespace proofdrive::session {
namespace {

using proofdrive::testing::IsError;
using proofdrive::testing::IsOk;
using proofdrive::testing::MemoryFiles;
using Bytes = std::vector<std::uint8_t>;

constexpr std::uint32_t kSalt = 0x12345678;

class Records : public ::testing::Test {
 protected:
  void Open(const Bytes& bytes) {
    files_.Put("f", bytes);
    file_ = *files_.Open("f");
    window_ = std::make_unique<FileWindow>(*file_, bytes.size());
  }
  // The first payload byte of every good record, in order.
  Bytes Scan(std::uint32_t salt = kSalt) {
    RecordScanner scanner(*window_, 0, salt);
    Bytes found;
    Record record;
    while (*scanner.Next(record)) found.push_back(record.payload[0]);
    gaps_ = scanner.gaps();
    return found;
  }
  static Bytes Three() {
    Bytes bytes;
    for (std::uint8_t i = 1; i <= 3; ++i) {
      PutRecord(RecordType::kChunk, Bytes(10, i), kSalt, bytes);
    }
    return bytes;
  }

  MemoryFiles files_;
  std::unique_ptr<ReadFile> file_;
  std::unique_ptr<FileWindow> window_;
  std::vector<Gap> gaps_;
};

TEST_F(Records, AreFoundOneAfterTheOther) {
  Open(Three());
  EXPECT_EQ(Scan(), (Bytes{1, 2, 3}));
  EXPECT_TRUE(gaps_.empty());
}

TEST_F(Records, OfAnotherSessionAreNoRecords) {
  Open(Three());
  EXPECT_TRUE(Scan(kSalt + 1).empty());
  ASSERT_EQ(gaps_.size(), 1U);
  EXPECT_EQ(gaps_[0].bytes, 90U);
}

TEST_F(Records, AfterDamageAreFoundAgain) {
  Bytes bytes = Three();
  bytes[35] ^= 1;  // in the second record
  Open(bytes);
  EXPECT_EQ(Scan(), (Bytes{1, 3}));
  ASSERT_EQ(gaps_.size(), 1U);
  EXPECT_EQ(gaps_[0].offset, 30U);
  EXPECT_EQ(gaps_[0].bytes, 30U);
}

TEST_F(Records, MarkerAcrossTheEdgeOfTheBufferIsFound) {
  for (std::size_t before = (1 << 20) - 10; before < (1 << 20) + 3; ++before) {
    Bytes bytes(before, 0xAA);
    PutRecord(RecordType::kChunk, Bytes(10, 5), kSalt, bytes);
    Open(bytes);
    ASSERT_EQ(Scan(), Bytes{5}) << before;
  }
}

TEST_F(Records, TornRecordAtTheEndIsTruncated) {
  Bytes bytes = Three();
  bytes.pop_back();
  Open(bytes);
  EXPECT_THAT(ReadRecord(*window_, 60, kSalt),
              IsError(ErrorKind::kTruncated, "the file ends within a record"));
  EXPECT_EQ(Scan(), (Bytes{1, 2}));
}

TEST_F(Records, DamageIsNamed) {
  Bytes bytes = Three();
  bytes[29] ^= 1;
  bytes[30] ^= 1;
  bytes[71] = 0xFF;  // the length of the third
  Open(bytes);
  EXPECT_THAT(ReadRecord(*window_, 0, kSalt),
              IsError(ErrorKind::kCorrupt, "at byte 0: checksum does not match"));
  EXPECT_THAT(ReadRecord(*window_, 30, kSalt),
              IsError(ErrorKind::kCorrupt, "at byte 30: no record begins here"));
  EXPECT_THAT(ReadRecord(*window_, 60, kSalt),
              IsError(ErrorKind::kCorrupt, "at byte 60: the length of the record makes no sense"));
}

// Every marker claims a long record: the search must not check them all.
TEST_F(Records, FileFullOfMarkersIsGivenUpSoon) {
  Bytes bytes;
  constexpr std::size_t kSize = std::size_t{4} << 20;
  while (bytes.size() < kSize) {
    bytes.insert(bytes.end(), kRecordMarker.begin(), kRecordMarker.end());
    const auto length = static_cast<std::uint32_t>((kSize - bytes.size()) / 2);
    ByteWriter(bytes).Put(length);
  }
  Open(bytes);
  EXPECT_TRUE(Scan().empty());
  ASSERT_EQ(gaps_.size(), 1U);
  EXPECT_EQ(gaps_[0].bytes, bytes.size());
}

}  // namespace
}  // namespace proofdrive::session
