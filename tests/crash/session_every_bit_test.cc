// Any bit may turn: it is noticed, and costs one chunk at most.
#include <gtest/gtest.h>

#include "tests/crash/session_script.h"

namespace proofdrive::session::crash {
namespace {

// `frames` is the whole recording, or lacks exactly one chunk.
bool LacksOneChunkAtMost(const std::vector<Frame>& frames) {
  const std::vector<Frame> all = AllFrames();
  if (frames == all) return true;
  for (std::size_t first = 0; first < all.size(); first += kFramesPerChunk) {
    std::vector<Frame> rest = all;
    const std::size_t last = std::min(first + kFramesPerChunk, all.size());
    rest.erase(rest.begin() + static_cast<std::ptrdiff_t>(first),
               rest.begin() + static_cast<std::ptrdiff_t>(last));
    if (frames == rest) return true;
  }
  return false;
}

template <class Check>
void ForEveryBit(const std::vector<std::uint8_t>& bytes, const Check& check) {
  for (std::size_t at = 0; at < bytes.size(); ++at) {
    for (unsigned bit = 0; bit < 8; ++bit) {
      SCOPED_TRACE("byte " + std::to_string(at) + " bit " + std::to_string(bit));
      std::vector<std::uint8_t> damaged = bytes;
      damaged[at] = static_cast<std::uint8_t>(damaged[at] ^ (1U << bit));
      check(damaged);
      if (::testing::Test::HasFailure()) return;
    }
  }
}

TEST(EveryBit, OfACompleteSessionIsNoticedAndCostsOneChunkAtMost) {
  MemoryFiles whole;
  Script script(whole);
  ASSERT_OK(script.RunAndFinish());
  std::size_t without_loss = 0;
  std::size_t with_loss = 0;
  ForEveryBit(whole.Contents(kPath), [&](const std::vector<std::uint8_t>& damaged) {
    MemoryFiles files;
    files.Put(kPath, damaged);
    auto report = Verify(files, kPath);
    ASSERT_OK(report);
    EXPECT_EQ(report->state, State::kDamaged);
    EXPECT_FALSE(report->losses.empty());
    auto reader = Reader::Open(files, kPath);
    ASSERT_OK(reader);
    const std::vector<Frame> frames = FramesOf(**reader);
    EXPECT_TRUE(LacksOneChunkAtMost(frames)) << frames.size();
    ++(frames.size() == kFrames ? without_loss : with_loss);
  });
  EXPECT_GT(without_loss, 0U);
  EXPECT_GT(with_loss, 0U);
  std::cout << without_loss + with_loss << " bits, " << with_loss << " cost a chunk\n";
}

TEST(EveryBit, OfAnInterruptedSessionIsNoticedAndCostsOneChunkAtMost) {
  MemoryFiles whole;
  Script script(whole);
  ASSERT_OK(script.Run());
  const std::vector<std::uint8_t> journal = whole.Contents(kJournal);
  ForEveryBit(whole.Contents(kPath), [&](const std::vector<std::uint8_t>& damaged) {
    MemoryFiles files;
    files.Put(kPath, damaged);
    files.Put(kJournal, journal);
    auto reader = Reader::Open(files, kPath);
    ASSERT_OK(reader);
    EXPECT_TRUE(LacksOneChunkAtMost(FramesOf(**reader)));
    EXPECT_EQ((*reader)->state(), State::kDamaged);
    EXPECT_FALSE((*reader)->losses().empty());
  });
}

TEST(EveryBit, OfTheJournalIsNoticedAndCostsOneBatchAtMost) {
  MemoryFiles whole;
  Script script(whole);
  ASSERT_OK(script.Run());
  const std::vector<std::uint8_t> session = whole.Contents(kPath);
  ForEveryBit(whole.Contents(kJournal), [&](const std::vector<std::uint8_t>& damaged) {
    MemoryFiles files;
    files.Put(kPath, session);
    files.Put(kJournal, damaged);
    auto reader = Reader::Open(files, kPath);
    ASSERT_OK(reader);
    EXPECT_GE(FramesOf(**reader).size(), kFrames - kFramesPerStep);
    EXPECT_FALSE((*reader)->losses().empty());
  });
}

// The exact survivors, with every byte of one chunk overwritten.
TEST(EveryBit, ChunkThatIsWipedOutIsTheOnlyLoss) {
  MemoryFiles files;
  Script script(files);
  ASSERT_OK(script.RunAndFinish());
  std::vector<std::uint8_t>& bytes = files.Contents(kPath);
  auto report = Verify(files, kPath);
  ASSERT_OK(report);
  ASSERT_EQ(report->frames, kFrames);
  // Damage byte by byte from the front until the first loss names the place of a chunk.
  Loss loss;
  for (std::size_t at = 200; loss.bytes == 0 && at < bytes.size(); ++at) {
    bytes[at] ^= 0xFF;
    auto reader = Reader::Open(files, kPath);
    ASSERT_OK(reader);
    if (FramesOf(**reader).size() < kFrames) {
      for (const Loss& found : (*reader)->losses()) {
        if (found.severity == Loss::Severity::kDataLoss) loss = found;
      }
    }
    bytes[at] ^= 0xFF;
  }
  ASSERT_GT(loss.bytes, 0U);
  std::fill_n(bytes.begin() + static_cast<std::ptrdiff_t>(loss.offset), loss.bytes,
              std::uint8_t{0});
  auto reader = Reader::Open(files, kPath);
  ASSERT_OK(reader);
  const std::vector<Frame> frames = FramesOf(**reader);
  const std::vector<Frame> all = AllFrames();
  EXPECT_EQ(frames, std::vector<Frame>(all.begin() + kFramesPerChunk, all.end()));
  ASSERT_EQ((*reader)->losses().size(), 1U);
  EXPECT_EQ((*reader)->losses()[0].what,
            "chunk 1: checksum does not match; 8 frames cannot be read");
  EXPECT_EQ((*reader)->losses()[0].advice,
            "the rest can be read; `proofdrive recover` makes a complete session of it");
  ExpectRecoverable(files, frames);
}

}  // namespace
}  // namespace proofdrive::session::crash
