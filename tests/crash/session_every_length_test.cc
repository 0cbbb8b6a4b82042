// A file may end at any byte: the power went, or a copy stopped half way.
#include <gtest/gtest.h>

#include "tests/crash/session_script.h"

namespace proofdrive::session::crash {
namespace {

struct Recording {
  std::vector<std::uint8_t> session;
  std::vector<std::uint8_t> journal;
};

Recording Interrupted() {
  MemoryFiles files;
  Script script(files);
  EXPECT_OK(script.Run());
  return {files.Contents(kPath), files.Contents(kJournal)};
}

Recording Complete() {
  MemoryFiles files;
  Script script(files);
  EXPECT_OK(script.RunAndFinish());
  return {files.Contents(kPath), {}};
}

std::vector<std::uint8_t> Cut(const std::vector<std::uint8_t>& bytes, std::size_t length) {
  return {bytes.begin(), bytes.begin() + static_cast<std::ptrdiff_t>(length)};
}

// Frames that can be read; none when the session cannot be opened for a stated reason.
std::size_t Readable(MemoryFiles& files) {
  auto reader = Reader::Open(files, kPath);
  if (!reader.ok()) {
    const ErrorKind kind = reader.status().kind();
    EXPECT_TRUE(kind == ErrorKind::kCorrupt || kind == ErrorKind::kInvalidArgument)
        << reader.status().message();
    return 0;
  }
  const std::vector<Frame> frames = FramesOf(**reader);
  EXPECT_EQ((*reader)->frame_count(), frames.size());
  const std::vector<Frame> all = AllFrames();
  std::size_t next = 0;  // frames that are there are true, and in order
  for (const Frame& frame : frames) {
    while (next < all.size() && !(all[next] == frame)) ++next;
    EXPECT_LT(next, all.size());
  }
  if (frames.size() < kFrames) {
    EXPECT_NE((*reader)->state(), State::kComplete);
  }
  return frames.size();
}

TEST(EveryLength, CompleteSessionLosesOnlyWhatIsCutOff) {
  const Recording whole = Complete();
  std::size_t most = kFrames;
  for (std::size_t length = whole.session.size() + 1; length-- > 0;) {
    SCOPED_TRACE("length " + std::to_string(length));
    MemoryFiles files;
    files.Put(kPath, Cut(whole.session, length));
    const std::size_t frames = Readable(files);
    EXPECT_LE(frames, most);
    EXPECT_EQ(frames % kFramesPerChunk == 0 || frames == kFrames, true);
    most = frames;
  }
  EXPECT_EQ(most, 0U);
}

TEST(EveryLength, JournalLosesOnlyWhatIsCutOff) {
  const Recording whole = Interrupted();
  std::size_t most = kFrames;
  for (std::size_t length = whole.journal.size() + 1; length-- > 0;) {
    SCOPED_TRACE("length " + std::to_string(length));
    MemoryFiles files;
    files.Put(kPath, whole.session);
    files.Put(kJournal, Cut(whole.journal, length));
    const std::size_t frames = Readable(files);
    EXPECT_LE(frames, most);
    EXPECT_GE(frames, kFrames / kFramesPerChunk * kFramesPerChunk);
    most = frames;
  }
}

TEST(EveryLength, SessionCutWhileItsJournalIsWhole) {
  const Recording whole = Interrupted();
  std::size_t most = kFrames;
  for (std::size_t length = whole.session.size() + 1; length-- > 0;) {
    SCOPED_TRACE("length " + std::to_string(length));
    MemoryFiles files;
    files.Put(kPath, Cut(whole.session, length));
    files.Put(kJournal, whole.journal);
    const std::size_t frames = Readable(files);
    EXPECT_LE(frames, most);
    most = frames;
  }
}

TEST(EveryLength, WhatIsLeftCanBeRecovered) {
  const Recording whole = Interrupted();
  for (std::size_t length = 0; length <= whole.session.size(); length += 7) {
    SCOPED_TRACE("length " + std::to_string(length));
    MemoryFiles files;
    files.Put(kPath, Cut(whole.session, length));
    files.Put(kJournal, whole.journal);
    auto reader = Reader::Open(files, kPath);
    if (reader.ok()) ExpectRecoverable(files, FramesOf(**reader));
  }
}

// A writer never adds to a file that is there, whatever its state.
TEST(EveryLength, NothingIsEverAppendedToWhatIsLeft) {
  const Recording whole = Interrupted();
  for (std::size_t length = 0; length <= whole.session.size(); length += 50) {
    MemoryFiles files;
    files.Put(kPath, Cut(whole.session, length));
    EXPECT_THAT(Writer::Create(files, kPath, SmallHeader(), SmallChunks()),
                IsError(ErrorKind::kAlreadyExists,
                        "disk/drive.session already exists and is not overwritten: choose another "
                        "name"));
    EXPECT_EQ(files.Contents(kPath), Cut(whole.session, length));
  }
}

}  // namespace
}  // namespace proofdrive::session::crash
