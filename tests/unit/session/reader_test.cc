#include "session/reader.h"

#include <gtest/gtest.h>

#include <array>
#include <random>

#include "core/digests/crc32c.h"
#include "session/model/layout.h"
#include "session/recovery.h"
#include "session/writer.h"
#include "tests/support/counting_files.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

namespace proofdrive::session {
namespace {

using proofdrive::testing::CountingFiles;
using proofdrive::testing::IsError;
using proofdrive::testing::IsOk;
using proofdrive::testing::MemoryFiles;

constexpr const char* kPath = "d/x.session";

Frame FrameNumber(std::size_t i) {
  Frame frame;
  frame.time = WallFromNanoseconds(static_cast<std::int64_t>(i) * 1000);
  frame.id = i % 2 == 0 ? 0x100 : 0x200;
  frame.length = 8;
  for (std::size_t b = 0; b < 8; ++b) frame.data[b] = static_cast<std::uint8_t>(i * 31 + b * b * i);
  return frame;
}

void Record(MemoryFiles& files, std::size_t frames, bool finish) {
  WriterOptions options;
  options.frames_per_chunk = 100;
  auto writer = Writer::Create(files, kPath, {}, options);
  ASSERT_OK(writer);
  for (std::size_t i = 0; i < frames; ++i) {
    const Frame frame = FrameNumber(i);
    ASSERT_OK((*writer)->Append({&frame, 1}));
  }
  if (finish) {
    ASSERT_OK((*writer)->Finish());
  }
}

TEST(Reader, SaysWhatAFileLooksLikeThatIsNoSession) {
  MemoryFiles files;
  files.Put("a", {0x0A, 0x0D, 0x0D, 0x0A});
  EXPECT_THAT(Reader::Open(files, "a"),
              IsError(ErrorKind::kInvalidArgument,
                      "a is not a Proofdrive session: it looks like a pcapng capture: use "
                      "`proofdrive import`"));
  for (const std::vector<std::uint8_t>& start :
       {std::vector<std::uint8_t>{0xD4, 0xC3, 0xB2, 0xA1}, {0xA1, 0xB2, 0x3C, 0x4D}}) {
    files.Put("b", start);
    EXPECT_THAT(Reader::Open(files, "b"),
                IsError(ErrorKind::kInvalidArgument,
                        "b is not a Proofdrive session: it looks like a pcap capture: use "
                        "`proofdrive import`"));
  }
  EXPECT_THAT(Reader::Open(files, "none"),
              IsError(ErrorKind::kNotFound, "open none: No such file or directory"));
}

TEST(Reader, RefusesASessionOfANewerVersion) {
  MemoryFiles files;
  Record(files, 10, true);
  std::vector<std::uint8_t>& bytes = files.Contents(kPath);
  bytes[8] = 0x04;
  std::vector<std::uint8_t> crc;
  ByteWriter(crc).Put(Crc32c(ByteSpan(bytes).first(kPreambleBytes - 4)));
  std::copy(crc.begin(), crc.end(), bytes.begin() + kPreambleBytes - 4);
  EXPECT_THAT(Reader::Open(files, kPath),
              IsError(ErrorKind::kUnsupportedVersion,
                      "d/x.session: written by a newer Proofdrive (it uses features 0x4 that this "
                      "version does not know): update Proofdrive to read it"));
}

TEST(Reader, EmptySessionHasNoTimes) {
  MemoryFiles files;
  Record(files, 0, true);
  auto reader = Reader::Open(files, kPath);
  ASSERT_OK(reader);
  EXPECT_EQ((*reader)->state(), State::kComplete);
  EXPECT_EQ((*reader)->frame_count(), 0U);
  EXPECT_EQ((*reader)->first_time(), WallTime{});
  EXPECT_EQ((*reader)->last_time(), WallTime{});
  EXPECT_TRUE((*reader)->streams().empty());
}

TEST(Reader, StopsWhenTheVisitorHasEnough) {
  MemoryFiles files;
  Record(files, 250, true);
  auto reader = Reader::Open(files, kPath);
  ASSERT_OK(reader);
  for (const std::size_t limit : {1U, 100U, 101U, 250U}) {
    std::size_t count = 0;
    ASSERT_OK((*reader)->ForEachFrame([&](const Frame&) { return ++count < limit; }));
    EXPECT_EQ(count, limit);
  }
}

TEST(Reader, BatchesHoldTheSameFramesWhateverTheNumberOfThreads) {
  MemoryFiles files;
  Record(files, 2050, false);  // 20 chunks, and 50 frames in the journal
  for (const unsigned threads : {1U, 2U, 5U}) {
    auto reader = Reader::Open(files, kPath, {threads});
    ASSERT_OK(reader);
    std::size_t count = 0;
    ASSERT_OK((*reader)->ForEachBatch([&](std::span<const Frame> frames) {
      EXPECT_FALSE(frames.empty());
      for (const Frame& frame : frames) EXPECT_EQ(frame, FrameNumber(count++));
      return true;
    }));
    EXPECT_EQ(count, 2050U);
  }
}

// Batches are filled again and again: what a long frame leaves behind must not show in a short one.
TEST(Reader, BytesBehindAShortPayloadAreZero) {
  MemoryFiles files;
  WriterOptions options;
  options.frames_per_chunk = 500;
  auto writer = Writer::Create(files, kPath, {}, options);
  ASSERT_OK(writer);
  std::vector<Frame> frames;
  for (std::size_t i = 0; i < 3000; ++i) {
    Frame frame;
    frame.time = WallFromNanoseconds(static_cast<std::int64_t>(i) * 1000);
    constexpr std::array<std::uint8_t, 6> kLengths = {64, 0, 8, 3, 12, 8};
    frame.length = kLengths[(i * i + i / 7) % kLengths.size()];
    frame.flags = frame.length > 8 ? kFlexibleData : 0;
    if (i % 5 == 0 && frame.length == 8) frame.flags = kRemote;
    if (!frame.Is(kRemote)) std::fill_n(frame.data.begin(), frame.length, std::uint8_t{0xA5});
    frames.push_back(frame);
  }
  ASSERT_OK((*writer)->Append(frames));
  ASSERT_OK((*writer)->Finish());
  auto reader = Reader::Open(files, kPath);
  ASSERT_OK(reader);
  std::size_t count = 0;
  ASSERT_OK((*reader)->ForEachFrame([&](const Frame& frame) {
    EXPECT_EQ(frame, frames[count]) << count;
    ++count;
    return true;
  }));
  EXPECT_EQ(count, frames.size());
}

// The times of one stream, block by block.
std::vector<std::int64_t> TimesIn(Reader& reader, const BlockRequest& request,
                                  const StreamKey& key) {
  std::vector<std::int64_t> times;
  std::uint64_t done = 0;
  EXPECT_OK(reader.ForEachBlock(request, [&](const FrameBlock& block) {
    EXPECT_GT(block.done(), done);
    done = block.done();
    for (const BlockStream& stream : block.streams()) {
      if (stream.key != key) continue;
      EXPECT_EQ(stream.bytes.size(), 8 * stream.rows());
      times.insert(times.end(), stream.times_ns.begin(), stream.times_ns.end());
    }
    return true;
  }));
  EXPECT_EQ(done, reader.frame_count());
  return times;
}

TEST(Reader, BlocksHoldTheStreamsThatAreAskedFor) {
  MemoryFiles files;
  Record(files, 2050, false);  // 20 chunks, and 50 frames in the journal
  const StreamKey key{0, 0x200, 0, 8, 0};
  std::vector<std::int64_t> expected;
  for (std::int64_t i = 1; i < 2050; i += 2) expected.push_back(1000 * i);
  for (const unsigned threads : {1U, 3U}) {
    auto reader = Reader::Open(files, kPath, {threads});
    ASSERT_OK(reader);
    EXPECT_EQ(TimesIn(**reader, {}, key), expected);
    EXPECT_EQ(TimesIn(**reader, {false, {key}}, key), expected);
    EXPECT_TRUE(TimesIn(**reader, {false, {{0, 0x100, 0, 8, 0}}}, key).empty());
    EXPECT_TRUE(TimesIn(**reader, {false, {}}, key).empty());
  }
}

TEST(Reader, BlocksOfSomeStreamsHaveNoOrder) {
  MemoryFiles files;
  Record(files, 250, true);
  auto reader = Reader::Open(files, kPath);
  ASSERT_OK(reader);
  std::size_t blocks = 0;
  ASSERT_OK((*reader)->ForEachBlock({false, {{0, 0x200, 0, 8, 0}}}, [&](const FrameBlock& block) {
    EXPECT_EQ(block.streams().size(), 1U);
    block.ForEachBatch([](std::span<const Frame>) { return ADD_FAILURE(), true; });
    return ++blocks < 2;
  }));
  EXPECT_EQ(blocks, 2U) << "the visitor had enough";
}

TEST(Reader, ASessionMayBeReadWhileItIsRead) {
  MemoryFiles files;
  Record(files, 250, false);
  auto reader = Reader::Open(files, kPath, {2});
  ASSERT_OK(reader);
  std::size_t outer = 0, inner = 0;
  ASSERT_OK((*reader)->ForEachBatch([&](std::span<const Frame> frames) {
    for (const Frame& frame : frames) EXPECT_EQ(frame, FrameNumber(outer++));
    EXPECT_OK((*reader)->ForEachFrame([&](const Frame&) { return ++inner, true; }));
    for (const Frame& frame : frames) EXPECT_EQ(frame.length, 8);
    return true;
  }));
  EXPECT_EQ(outer, 250U);
  EXPECT_EQ(inner % 250, 0U);
}

// The order of a chunk is lost with any of its streams; the streams that are whole are not.
TEST(Reader, BlocksKeepTheWholeStreamsOfADamagedChunk) {
  MemoryFiles files;
  Record(files, 100, true);
  const std::uint64_t size = files.Contents(kPath).size();
  bool found = false;
  for (std::uint64_t at = kPreambleBytes; at < size && !found; ++at) {
    files.Contents(kPath)[at] ^= 0xFF;
    auto reader = Reader::Open(files, kPath);
    std::size_t rows = 0, frames = 0;
    if (reader.ok()) {
      ASSERT_OK((*reader)->ForEachBlock({}, [&](const FrameBlock& block) {
        for (const BlockStream& stream : block.streams()) rows += stream.rows();
        return block.ForEachBatch([&](std::span<const Frame> some) {
          frames += some.size();
          return true;
        });
      }));
      found = rows == 50 && frames == 0;
      if (found) {
        EXPECT_EQ((*reader)->losses().size(), 1U);
      }
    }
    files.Contents(kPath)[at] ^= 0xFF;
  }
  EXPECT_TRUE(found);
}

TEST(Reader, StreamThatIsNotThere) {
  MemoryFiles files;
  Record(files, 10, true);
  auto reader = Reader::Open(files, kPath);
  ASSERT_OK(reader);
  EXPECT_THAT((*reader)->ReadStream({0, 0x300, 0, 8, 0}),
              IsError(ErrorKind::kNotFound,
                      "the session has no frame 300 of this kind and length on this channel"));
}

TEST(Reader, OneStreamIsReadWithoutTheOthers) {
  CountingFiles<MemoryFiles> files;
  WriterOptions options;
  options.journal = false;
  std::mt19937_64 random(1);  // always the same; any payload that does not compress will do
  {
    auto writer = Writer::Create(files, kPath, {}, options);
    ASSERT_OK(writer);
    for (std::size_t i = 0; i < 50'000; ++i) {
      Frame frame = FrameNumber(i);
      frame.id = static_cast<std::uint32_t>(0x100 + i % 50);
      for (std::size_t b = 0; b < 8; ++b) frame.data[b] = static_cast<std::uint8_t>(random());
      ASSERT_OK((*writer)->Append({&frame, 1}));
    }
    ASSERT_OK((*writer)->Finish());
  }
  auto reader = Reader::Open(files, kPath);
  ASSERT_OK(reader);
  files.bytes = 0;
  auto column = (*reader)->ReadStream({0, 0x120, 0, 8, 0});
  ASSERT_OK(column);
  EXPECT_EQ(column->times.size(), 1000U);
  EXPECT_LT(files.bytes, (*reader)->file_bytes() / 10);
}

TEST(Reader, OtherStreamsOfADamagedChunkCanStillBeRead) {
  MemoryFiles files;
  Record(files, 100, true);
  auto whole = Reader::Open(files, kPath);
  ASSERT_OK(whole);
  const std::uint64_t size = (*whole)->file_bytes();
  // Somewhere one turned byte costs one stream but not the other.
  bool found = false;
  for (std::uint64_t at = kPreambleBytes; at < size && !found; ++at) {
    files.Contents(kPath)[at] ^= 0xFF;
    auto reader = Reader::Open(files, kPath);
    ASSERT_OK(reader);
    auto first = (*reader)->ReadStream({0, 0x100, 0, 8, 0});
    auto second = (*reader)->ReadStream({0, 0x200, 0, 8, 0});
    found = first.ok() && second.ok() && first->times.empty() && second->times.size() == 50;
    if (found) {
      EXPECT_EQ((*reader)->state(), State::kDamaged);
      EXPECT_EQ((*reader)->losses().size(), 1U);
    }
    files.Contents(kPath)[at] ^= 0xFF;
  }
  EXPECT_TRUE(found);
}

TEST(Reader, JournalOfAnotherSessionIsNotMixedIn) {
  MemoryFiles files, others;
  Record(files, 150, false);
  Record(others, 170, false);
  files.Contents("d/x.journal") = others.Contents("d/x.journal");
  auto reader = Reader::Open(files, kPath);
  ASSERT_OK(reader);
  EXPECT_EQ((*reader)->frame_count(), 100U);
  EXPECT_EQ((*reader)->state(), State::kDamaged);
  EXPECT_EQ((*reader)->losses()[0].what,
            "the start of the journal is damaged or belongs to another session");
}

TEST(Reader, MissingJournalIsReported) {
  MemoryFiles files;
  Record(files, 150, false);
  ASSERT_OK(files.Remove("d/x.journal"));
  auto reader = Reader::Open(files, kPath);
  ASSERT_OK(reader);
  EXPECT_EQ((*reader)->state(), State::kDamaged);
  ASSERT_EQ((*reader)->losses().size(), 1U);
  EXPECT_EQ((*reader)->losses()[0].what,
            "the end of the session is missing, and so is its journal x.journal");
}

}  // namespace
}  // namespace proofdrive::session
