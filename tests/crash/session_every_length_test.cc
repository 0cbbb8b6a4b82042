// A file may end at any byte: the power went, or a copy stopped half way.
#include <gtest/gtest.h>

#include "core/base/bytes.h"
#include "session/model/layout.h"
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
    EXPECT_TRUE(kind == ErrorKind::kCorrupt || kind == ErrorKind::kInvalidArgument ||
                (kind == ErrorKind::kTruncated && files.Contents(kPath).empty()))
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

// Where each record of a type ends, in bytes that are whole. Records: docs/session-format.md.
std::vector<std::size_t> EndsOf(RecordType type, ByteSpan bytes, std::size_t at) {
  std::vector<std::size_t> ends;
  while (at + kRecordHeaderBytes <= bytes.size()) {
    ByteReader head(bytes.subspan(at + kRecordMarker.size()));
    const auto length = head.Get<std::uint32_t>();
    const auto found = static_cast<RecordType>(head.Get<std::uint32_t>());
    at += kRecordHeaderBytes + length;
    if (found == type) ends.push_back(at);
  }
  return ends;
}

std::size_t CountWithin(const std::vector<std::size_t>& ends, std::size_t length) {
  return static_cast<std::size_t>(std::upper_bound(ends.begin(), ends.end(), length) -
                                  ends.begin());
}

TEST(EveryLength, CompleteSessionLosesOnlyWhatIsCutOff) {
  const Recording whole = Complete();
  const auto chunks = EndsOf(RecordType::kChunk, whole.session, kPreambleBytes);
  ASSERT_EQ(chunks.size(), (kFrames + kFramesPerChunk - 1) / kFramesPerChunk);
  for (std::size_t length = 0; length <= whole.session.size(); ++length) {
    SCOPED_TRACE("length " + std::to_string(length));
    MemoryFiles files;
    files.Put(kPath, Cut(whole.session, length));
    EXPECT_EQ(Readable(files), std::min(CountWithin(chunks, length) * kFramesPerChunk, kFrames));
  }
}

constexpr std::size_t kInChunks = kFrames / kFramesPerChunk * kFramesPerChunk;

TEST(EveryLength, JournalLosesOnlyWhatIsCutOff) {
  const Recording whole = Interrupted();
  const auto batches = EndsOf(RecordType::kJournalBatch, whole.journal, 0);
  ASSERT_FALSE(batches.empty());
  for (std::size_t length = 0; length <= whole.journal.size(); ++length) {
    SCOPED_TRACE("length " + std::to_string(length));
    MemoryFiles files;
    files.Put(kPath, whole.session);
    files.Put(kJournal, Cut(whole.journal, length));
    const std::size_t frames = Readable(files);
    EXPECT_GE(frames, kInChunks);
    EXPECT_EQ(frames == kFrames, length >= batches.front()) << frames;
  }
}

TEST(EveryLength, SessionCutWhileItsJournalIsWhole) {
  const Recording whole = Interrupted();
  const auto headers = EndsOf(RecordType::kHeader, whole.session, kPreambleBytes);
  const auto chunks = EndsOf(RecordType::kChunk, whole.session, kPreambleBytes);
  ASSERT_EQ(chunks.size(), kFrames / kFramesPerChunk);
  for (std::size_t length = headers.at(0); length <= whole.session.size(); ++length) {
    SCOPED_TRACE("length " + std::to_string(length));
    MemoryFiles files;
    files.Put(kPath, Cut(whole.session, length));
    files.Put(kJournal, whole.journal);
    EXPECT_EQ(Readable(files), CountWithin(chunks, length) * kFramesPerChunk + kFrames - kInChunks);
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
