#include "session/recording_reader.h"

#include <gmock/gmock.h>

#include "session/recovery.h"
#include "session/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

namespace proofdrive::session {
namespace {

using std::chrono::milliseconds;
using ::testing::ElementsAre;
using ::testing::IsEmpty;
using testing::IsError;
using testing::IsOk;
using testing::MemoryFiles;

const WallTime kStart = WallFromNanoseconds(1'772'366'400'000'000'000);

TEST(PartsTest, Names) {
  EXPECT_EQ(PartPath("d/x.session", 1), "d/x.session");
  EXPECT_EQ(PartPath("d/x.session", 2), "d/x.part-0002.session");
  EXPECT_EQ(PartPath("d/x.session", 12345), "d/x.part-12345.session");
  EXPECT_EQ(FirstPartPath("d/x.part-0002.session"), "d/x.session");
  EXPECT_EQ(PartNumberOf("d/x.part-12345.session"), 12345u);
  for (const char* path : {"x.session", "x.part-2.session", "x.part-0002", "x.part-000a.session",
                           ".part-0002.session", "x.part-.session"}) {
    EXPECT_EQ(FirstPartPath(path), path);
    EXPECT_EQ(PartNumberOf(path), 1u) << path;
  }
}

class RecordingReaderTest : public ::testing::Test {
 protected:
  // Frames 100 * (number - 1) and so on, every 10 ms, of two streams; one event.
  void WritePart(std::uint32_t number, bool continued, const std::string& recording = "r1",
                 bool finish = true) {
    Header header;
    header.name = "drive";
    header.id = number == 1 ? recording : recording + "-" + std::to_string(number);
    header.part = number;
    header.recording = recording;
    Channel channel;
    channel.name = "can0";
    header.channels = {channel};
    WriterOptions options;
    options.frames_per_chunk = 50;
    auto writer = Writer::Create(files_, PartPath("d/x.session", number), header, options);
    ASSERT_OK(writer);
    for (std::uint32_t i = 0; i < 100; ++i) ASSERT_OK((*writer)->Append({{FrameAt(number, i)}}));
    Event event;
    event.time = kStart;
    event.kind = EventKind::kMark;
    event.text = "part " + std::to_string(number);
    ASSERT_OK((*writer)->AddEvent(event));
    if (continued) (*writer)->SetContinued();
    ASSERT_OK(finish ? (*writer)->Finish() : (*writer)->Sync());
  }

  static Frame FrameAt(std::uint32_t number, std::uint32_t i) {
    const std::uint32_t n = 100 * (number - 1) + i;
    Frame frame;
    frame.time = kStart + milliseconds(10) * static_cast<int>(n);
    frame.id = n % 2 == 0 ? 0x100 : 0x200;
    frame.length = 2;
    frame.data[0] = static_cast<std::uint8_t>(n >> 8);
    frame.data[1] = static_cast<std::uint8_t>(n);
    return frame;
  }

  std::unique_ptr<RecordingReader> Open(const std::string& path) {
    auto reader = OpenRecording(files_, path);
    EXPECT_OK(reader);
    return reader.ok() ? std::move(*reader) : nullptr;
  }

  // The running numbers of all frames.
  static std::vector<int> Numbers(Reader& reader) {
    std::vector<int> numbers;
    EXPECT_OK(reader.ForEachFrame([&](const Frame& frame) {
      numbers.push_back(frame.data[0] * 256 + frame.data[1]);
      return true;
    }));
    return numbers;
  }

  static std::vector<std::string> Whats(const Reader& reader) {
    std::vector<std::string> whats;
    for (const Loss& loss : reader.losses()) whats.push_back(loss.what);
    return whats;
  }

  MemoryFiles files_;
};

// Each part keeps to its own limit of memory; the limit of all is told, not exceeded.
TEST_F(RecordingReaderTest, EventsOfManyHostilePartsAreCut) {
  constexpr std::uint32_t kParts = 5;
  for (std::uint32_t number = 1; number <= kParts; ++number) {
    Header header;
    header.id = number == 1 ? "r1" : "r1-" + std::to_string(number);
    header.part = number;
    header.recording = "r1";
    auto writer = Writer::Create(files_, PartPath("d/x.session", number), header, {});
    ASSERT_OK(writer);
    Event event;
    event.time = kStart;
    event.text.assign(std::size_t{1} << 20, 'x');
    for (int i = 0; i < 60; ++i) ASSERT_OK((*writer)->AddEvent(event));
    if (number < kParts) (*writer)->SetContinued();
    ASSERT_OK((*writer)->Finish());
  }
  const auto reader = Open("d/x.session");
  ASSERT_NE(reader, nullptr);
  EXPECT_EQ(reader->events().size(), 255u) << "256 MiB with what belongs to each";
  EXPECT_THAT(Whats(*reader), ::testing::Contains(::testing::HasSubstr("left out")));
  EXPECT_EQ(reader->state(), State::kDamaged);
}

TEST_F(RecordingReaderTest, AllPartsAreOneSession) {
  WritePart(1, true);
  WritePart(2, true);
  WritePart(3, false);
  for (const char* path : {"d/x.session", "d/x"}) {
    const auto reader = Open(path);
    ASSERT_NE(reader, nullptr);
    EXPECT_EQ(reader->state(), State::kComplete);
    EXPECT_THAT(reader->losses(), IsEmpty());
    EXPECT_EQ(reader->parts().size(), 3u);
    EXPECT_EQ(reader->frame_count(), 300u);
    EXPECT_EQ(reader->first_time(), kStart);
    EXPECT_EQ(reader->last_time(), kStart + milliseconds(2990));
    EXPECT_EQ(reader->header().id, "r1");
    EXPECT_EQ(reader->header().channels.size(), 1u);
    ASSERT_EQ(reader->streams().size(), 2u);
    EXPECT_EQ(reader->streams()[0].frames, 150u);
    EXPECT_EQ(reader->streams()[0].last, kStart + milliseconds(2980));
    EXPECT_EQ(reader->events().size(), 3u);
    EXPECT_EQ(reader->events()[2].text, "part 3");
    const std::vector<int> numbers = Numbers(*reader);
    ASSERT_EQ(numbers.size(), 300u);
    for (int i = 0; i < 300; ++i) EXPECT_EQ(numbers[static_cast<std::size_t>(i)], i);
    const auto column = reader->ReadStream(reader->streams()[1].key);
    ASSERT_OK(column);
    EXPECT_EQ(column->times.size(), 150u);
    EXPECT_EQ(column->payload(149)[1], 299 - 256);
  }
}

TEST_F(RecordingReaderTest, StopsWhenTheVisitorHasEnough) {
  WritePart(1, true);
  WritePart(2, false);
  const auto reader = Open("d/x.session");
  int seen = 0;
  ASSERT_OK(reader->ForEachFrame([&](const Frame&) { return ++seen < 30; }));
  EXPECT_EQ(seen, 30);
}

TEST_F(RecordingReaderTest, ALaterPartByItsNameIsReadAlone) {
  WritePart(1, true);
  WritePart(2, true);
  WritePart(3, false);
  const auto reader = Open("d/x.part-0002.session");
  EXPECT_EQ(reader->frame_count(), 100u);
  EXPECT_EQ(reader->header().part, 2u);
  EXPECT_EQ(reader->header().recording, "r1");
  EXPECT_TRUE(reader->header().continued);
  EXPECT_THAT(reader->losses(), IsEmpty());
}

TEST_F(RecordingReaderTest, MissingPartsAreSaid) {
  WritePart(1, true);
  WritePart(2, true);
  WritePart(3, true);
  ASSERT_OK(files_.Remove("d/x.part-0002.session"));
  const auto reader = Open("d/x.session");
  EXPECT_EQ(reader->state(), State::kDamaged);
  EXPECT_EQ(reader->frame_count(), 200u);
  EXPECT_THAT(Whats(*reader), ElementsAre("part 2 is missing: there is no x.part-0002.session",
                                          "part 4 is missing: there is no x.part-0004.session"));
  ASSERT_OK(files_.Remove("d/x.session"));
  const auto rest = Open("d/x");
  EXPECT_EQ(rest->frame_count(), 100u);
  EXPECT_THAT(Whats(*rest), ElementsAre("part 1 is missing: there is no x.session",
                                        "part 2 is missing: there is no x.part-0002.session",
                                        "part 4 is missing: there is no x.part-0004.session"));
}

TEST_F(RecordingReaderTest, ADamagedPartCostsThatPartOnly) {
  WritePart(1, true);
  WritePart(2, true);
  WritePart(3, false);
  for (std::uint8_t& byte : files_.Contents("d/x.part-0002.session")) byte = 0xAA;
  const auto reader = Open("d/x.session");
  EXPECT_EQ(Numbers(*reader).size(), 200u);
  EXPECT_EQ(reader->state(), State::kDamaged);
  ASSERT_EQ(reader->losses().size(), 1u);
  EXPECT_THAT(reader->losses()[0].what,
              ::testing::StartsWith("part 2 (x.part-0002.session) cannot be read: "));
}

TEST_F(RecordingReaderTest, DamageInsideAPartNamesThePart) {
  WritePart(1, true);
  WritePart(2, false);
  std::vector<std::uint8_t>& bytes = files_.Contents("d/x.part-0002.session");
  const std::size_t chunk = bytes.size() / 2;
  for (std::size_t i = 0; i < 8; ++i) bytes[chunk + i] ^= 0xFF;
  const auto report = Verify(files_, "d/x.session");
  ASSERT_OK(report);
  EXPECT_EQ(report->state, State::kDamaged);
  ASSERT_FALSE(report->losses.empty());
  for (const Loss& loss : report->losses) {
    EXPECT_THAT(loss.what, ::testing::StartsWith("part 2 (x.part-0002.session): "));
  }
}

TEST_F(RecordingReaderTest, ForeignFilesAreLeftOut) {
  WritePart(1, true);
  WritePart(2, false);
  WritePart(3, false, "another");
  const auto reader = Open("d/x.session");
  EXPECT_EQ(reader->frame_count(), 200u);
  EXPECT_EQ(reader->state(), State::kComplete);
  EXPECT_THAT(Whats(*reader),
              ElementsAre("x.part-0003.session is no part of this recording; not used"));
}

TEST_F(RecordingReaderTest, TheLastPartMayBeInterrupted) {
  WritePart(1, true);
  WritePart(2, false, "r1", false);
  const auto reader = Open("d/x.session");
  EXPECT_EQ(reader->state(), State::kInterrupted);
  EXPECT_EQ(Numbers(*reader).size(), 200u);
}

TEST_F(RecordingReaderTest, RecoverMakesOneSessionOfAllParts) {
  WritePart(1, true);
  WritePart(2, false, "r1", false);
  const auto report = Recover(files_, "d/x.session", "d/y.session");
  ASSERT_OK(report);
  EXPECT_EQ(report->frames, 200u);
  const auto reader = Open("d/y.session");
  EXPECT_EQ(reader->state(), State::kComplete);
  EXPECT_EQ(reader->header().part, 0u);
  EXPECT_EQ(reader->header().recording, "");
  EXPECT_EQ(Numbers(*reader).size(), 200u);
}

TEST_F(RecordingReaderTest, NothingThere) {
  EXPECT_THAT(OpenRecording(files_, "d/x.session"),
              IsError(ErrorKind::kNotFound,
                      "d/x.session: there is no such file; give the path of a .session file"));
}

}  // namespace
}  // namespace proofdrive::session
