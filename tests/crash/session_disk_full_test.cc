// The disk may fill up at any byte: what was taken stays, and recording can be finished later.
#include <gtest/gtest.h>

#include "tests/crash/session_script.h"

namespace proofdrive::session::crash {
namespace {

// The largest capacity at which a run still runs out of space, found by running it.
std::uint64_t EnoughSpace() {
  for (std::uint64_t capacity = 1 << 20; capacity > 0; capacity -= 64) {
    MemoryFiles files;
    files.SetCapacity(capacity);
    Script script(files);
    if (!script.RunAndFinish().ok()) return capacity + 64;
    if (capacity > 16384) capacity = 16384 + 64;
  }
  return 0;
}

TEST(DiskFull, AtEverySizeKeepsWhatWasTakenAndCanBeFinishedLater) {
  const std::uint64_t enough = EnoughSpace();
  ASSERT_GT(enough, 0U);
  for (std::uint64_t capacity = 0; capacity < enough; ++capacity) {
    SCOPED_TRACE("capacity " + std::to_string(capacity));
    MemoryFiles files;
    files.SetCapacity(capacity);
    Script script(files);
    const Status status = script.RunAndFinish();
    if (status.ok()) continue;
    ASSERT_EQ(status.kind(), ErrorKind::kNoSpace) << status.message();
    if (!script.created()) {
      EXPECT_FALSE(files.Exists(kPath));
      EXPECT_FALSE(files.Exists(kJournal));
      continue;
    }
    auto reader = Reader::Open(files, kPath);
    ASSERT_OK(reader);
    EXPECT_EQ(FramesOf(**reader), FirstFrames(script.frames()));
    files.SetCapacity(~std::uint64_t{0});
    ASSERT_OK(script.writer().Finish());
    auto finished = Reader::Open(files, kPath);
    ASSERT_OK(finished);
    EXPECT_EQ((*finished)->state(), State::kComplete);
    EXPECT_EQ(FramesOf(**finished), FirstFrames(script.frames()));
    EXPECT_EQ((*finished)->events().size(), script.marks());
    EXPECT_TRUE((*finished)->losses().empty());
  }
}

TEST(DiskFull, AtEverySizeCanBeRecoveredElsewhere) {
  const std::uint64_t enough = EnoughSpace();
  for (std::uint64_t capacity = 0; capacity < enough; capacity += 3) {
    SCOPED_TRACE("capacity " + std::to_string(capacity));
    MemoryFiles files;
    files.SetCapacity(capacity);
    std::size_t frames = 0;
    {
      Script script(files);
      if (script.RunAndFinish().ok() || !script.created()) continue;
      frames = script.frames();
    }
    files.SetCapacity(~std::uint64_t{0});
    ExpectRecoverable(files, FirstFrames(frames));
  }
}

TEST(DiskFull, RecordingGoesOnWhenThereIsRoomAgain) {
  MemoryFiles files;
  Script script(files);
  ASSERT_OK(script.Run(3));
  files.SetCapacity(0);
  EXPECT_FALSE(script.Run().ok());
  EXPECT_FALSE(script.writer().Finish().ok());
  files.SetCapacity(~std::uint64_t{0});
  ASSERT_OK(script.RunAndFinish());
  auto reader = Reader::Open(files, kPath);
  ASSERT_OK(reader);
  EXPECT_EQ(FramesOf(**reader), AllFrames());
}

}  // namespace
}  // namespace proofdrive::session::crash
