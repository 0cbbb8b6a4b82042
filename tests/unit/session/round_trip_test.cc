// What goes into a session comes out of it: frame by frame and column by column.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <iostream>
#include <map>
#include <random>

#include "session/reader.h"
#include "session/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

namespace proofdrive::session {
namespace {

using proofdrive::testing::IsOk;
using proofdrive::testing::MemoryFiles;

constexpr const char* kPath = "folder/drive.session";

struct Content {
  std::vector<Frame> frames;
  std::vector<Event> events;
  friend bool operator==(const Content&, const Content&) = default;
};

// Any valid frame: classic, FD, remote, error message, odd DLC, sent here; few or many identifiers.
Frame RandomFrame(std::mt19937_64& random, std::uint32_t ids) {
  const auto below = [&](std::uint64_t limit) { return random() % limit; };
  Frame frame;
  frame.channel = static_cast<std::uint8_t>(below(4) == 0 ? below(256) : below(2));
  frame.id = static_cast<std::uint32_t>(below(ids));
  if (below(3) == 0) {
    frame.flags |= kExtendedId;
    frame.id = static_cast<std::uint32_t>(0x18DAF100 + below(ids));
  }
  if (below(4) == 0) frame.flags |= kSentHere;
  switch (below(5)) {
    case 0:
      frame.flags |= kFlexibleData;
      if (below(2) == 0) frame.flags |= kBitRateSwitch;
      if (below(2) == 0) frame.flags |= kErrorState;
      frame.length = FdLengthOfDlc(static_cast<std::uint8_t>(below(16)));
      break;
    case 1:
      frame.flags |= kRemote;
      frame.length = static_cast<std::uint8_t>(below(9));
      break;
    case 2:
      frame.flags |= kErrorMessage;
      frame.length = 8;
      break;
    default:
      frame.length = static_cast<std::uint8_t>(below(9));
      if (frame.length == 8 && below(2) == 0) {
        frame.raw_dlc = static_cast<std::uint8_t>(9 + below(7));
      }
  }
  for (std::size_t i = 0; i < frame.payload().size(); ++i) {
    frame.data[i] = static_cast<std::uint8_t>(below(3) == 0 ? below(256) : 0x40);
  }
  return frame;
}

// Mostly forward, sometimes standing still, stepping back or jumping far.
std::int64_t NextTime(std::mt19937_64& random, std::int64_t now, std::int64_t unit) {
  switch (random() % 16) {
    case 0:
      return now;
    case 1:
      return now - static_cast<std::int64_t>(random() % 200000) * unit;
    case 2:
      return random() % 50 == 0 ? now + std::int64_t{3600} * 1000000000 : now + unit;
    case 3:
      return random() % 50 == 0 ? now - std::int64_t{86400} * 1000000000 : now;
    default:
      return now + static_cast<std::int64_t>(random() % 1000) * unit;
  }
}

Content RandomContent(std::mt19937_64& random, std::size_t count, Duration resolution) {
  Content content;
  std::int64_t now = 1'700'000'000'000'000'000;
  const auto ids = static_cast<std::uint32_t>(1 + random() % (random() % 4 == 0 ? 1000 : 6));
  for (std::size_t i = 0; i < count; ++i) {
    Frame frame = RandomFrame(random, ids);
    now = NextTime(random, now, resolution.count());
    frame.time = WallFromNanoseconds(now);
    content.frames.push_back(frame);
    if (random() % 100 == 0) {
      Event event;
      event.time = frame.time;
      event.kind = static_cast<EventKind>(1 + random() % 9);
      if (random() % 2 == 0) event.channel = static_cast<std::uint8_t>(random() % 256);
      event.text = "event \xFF " + std::to_string(i);
      if (i % 3 == 0) event.data = "{\"asked\": \"\xFE\"}" + std::to_string(i);
      event.count = random();
      event.step = Duration(static_cast<std::int64_t>(random()));
      content.events.push_back(event);
    }
  }
  return content;
}

Content ReadAll(Reader& reader) {
  Content content;
  EXPECT_OK(reader.ForEachFrame([&](const Frame& frame) {
    content.frames.push_back(frame);
    return true;
  }));
  content.events = reader.events();
  return content;
}

void WriteAll(Writer& writer, const Content& content, std::size_t at_once) {
  std::size_t event = 0;
  for (std::size_t i = 0; i < content.frames.size(); i += at_once) {
    const std::size_t count = std::min(at_once, content.frames.size() - i);
    ASSERT_OK(writer.Append({content.frames.data() + i, count}));
    for (; event < content.events.size() && event < i / 100; ++event) {
      ASSERT_OK(writer.AddEvent(content.events[event]));
    }
  }
  for (; event < content.events.size(); ++event) ASSERT_OK(writer.AddEvent(content.events[event]));
}

// Columns hold exactly the frames of their stream. (A sample: the number of streams is random.)
void ExpectColumnsAgree(Reader& reader, const std::vector<Frame>& frames) {
  std::map<StreamKey, std::vector<const Frame*>> by_key;
  for (const Frame& frame : frames) by_key[KeyOf(frame)].push_back(&frame);
  ASSERT_EQ(reader.streams().size(), by_key.size());
  const std::size_t step = 1 + by_key.size() / 25;
  for (std::size_t i = 0; i < by_key.size(); i += step) {
    const StreamInfo& info = reader.streams()[i];
    const auto& expected = by_key[info.key];
    auto column = reader.ReadStream(info.key);
    ASSERT_OK(column);
    ASSERT_EQ(column->times.size(), expected.size());
    EXPECT_EQ(info.frames, expected.size());
    EXPECT_EQ(info.first, expected.front()->time);
    EXPECT_EQ(info.last, expected.back()->time);
    for (std::size_t row = 0; row < expected.size(); ++row) {
      EXPECT_EQ(column->times[row], expected[row]->time);
      EXPECT_THAT(column->payload(row), ::testing::ElementsAreArray(expected[row]->payload()));
    }
  }
}

struct Case {
  Duration resolution;
  std::size_t frames;
  std::size_t frames_per_chunk;
  std::size_t at_once;
  bool journal;
};

class RoundTrip : public ::testing::TestWithParam<Case> {};

TEST_P(RoundTrip, RandomFramesComeBackBitForBit) {
  const Case& c = GetParam();
  const std::uint64_t seed = std::random_device{}();
  std::cout << "seed " << seed << "\n";
  SCOPED_TRACE("seed " + std::to_string(seed));
  std::mt19937_64 random(seed);
  const Content content = RandomContent(random, c.frames, c.resolution);

  MemoryFiles files;
  Header header;
  header.name = "random";
  header.resolution = c.resolution;
  WriterOptions options;
  options.frames_per_chunk = c.frames_per_chunk;
  options.journal = c.journal;
  auto writer = Writer::Create(files, kPath, header, options);
  ASSERT_OK(writer);
  WriteAll(**writer, content, c.at_once);

  if (c.journal) {
    auto recording = Reader::Open(files, kPath);
    ASSERT_OK(recording);
    EXPECT_EQ((*recording)->state(), State::kRecording);
    EXPECT_EQ(ReadAll(**recording), content);
    ExpectColumnsAgree(**recording, content.frames);
  }
  ASSERT_OK((*writer)->Finish());
  auto reader = Reader::Open(files, kPath);
  ASSERT_OK(reader);
  EXPECT_EQ((*reader)->state(), State::kComplete);
  EXPECT_EQ(ReadAll(**reader), content);
  EXPECT_TRUE((*reader)->losses().empty());
  EXPECT_EQ((*reader)->frame_count(), content.frames.size());
  EXPECT_EQ((*reader)->first_time(), content.frames.front().time);
  EXPECT_EQ((*reader)->last_time(), content.frames.back().time);
  ExpectColumnsAgree(**reader, content.frames);
}

constexpr Duration kMicrosecond = std::chrono::microseconds(1);
constexpr Duration kNanosecond = std::chrono::nanoseconds(1);

INSTANTIATE_TEST_SUITE_P(All, RoundTrip,
                         ::testing::Values(Case{kMicrosecond, 5000, 65536, 100, true},
                                           Case{kNanosecond, 5000, 1000, 1, true},
                                           Case{kNanosecond, 20000, 4096, 5000, false},
                                           Case{kMicrosecond, 3000, 7, 13, true},
                                           Case{kMicrosecond, 1, 1, 1, true},
                                           Case{kNanosecond, 300, 1, 300, false}));

}  // namespace
}  // namespace proofdrive::session
