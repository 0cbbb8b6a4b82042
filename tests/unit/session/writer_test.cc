#include "session/writer.h"

#include <gtest/gtest.h>

#include "session/reader.h"
#include "session/recovery.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

namespace proofdrive::session {
namespace {

using proofdrive::testing::IsError;
using proofdrive::testing::IsOk;
using proofdrive::testing::MemoryFiles;

constexpr const char* kPath = "d/x.session";

Frame FrameAt(std::int64_t ns) {
  Frame frame;
  frame.time = WallFromNanoseconds(ns);
  frame.id = 0x2A1;
  frame.length = 2;
  return frame;
}

std::unique_ptr<Writer> Create(MemoryFiles& files, Header header = {}, WriterOptions options = {}) {
  auto writer = Writer::Create(files, kPath, std::move(header), options);
  EXPECT_OK(writer);
  return std::move(*writer);
}

TEST(Writer, MakesAnIdWhenThereIsNone) {
  MemoryFiles files;
  Create(files);
  const std::string id = (*Reader::Open(files, kPath))->header().id;
  EXPECT_EQ(id.size(), 32U);
  EXPECT_EQ(id.find_first_not_of("0123456789abcdef"), std::string::npos);
}

TEST(Writer, RefusesWhatIsThere) {
  MemoryFiles files;
  files.Put("d/x.journal", {1});
  EXPECT_THAT(Writer::Create(files, kPath, {}),
              IsError(ErrorKind::kAlreadyExists,
                      "d/x.journal already exists and is not overwritten: choose another name"));
  EXPECT_FALSE(files.Exists(kPath));
}

TEST(Writer, RefusesWrongArguments) {
  MemoryFiles files;
  EXPECT_FALSE(Writer::Create(files, "d/x", {}).ok());
  Header header;
  header.resolution = Duration(0);
  EXPECT_THAT(Writer::Create(files, kPath, header),
              IsError(ErrorKind::kInvalidArgument,
                      "the resolution of frame times must be above 0 and at most 1 s"));
  WriterOptions options;
  options.frames_per_chunk = 0;
  EXPECT_THAT(Writer::Create(files, kPath, {}, options),
              IsError(ErrorKind::kInvalidArgument, "frames per chunk must be 1 to 262,144"));
  options = {};
  options.compression_level = 20;
  EXPECT_THAT(Writer::Create(files, kPath, {}, options),
              IsError(ErrorKind::kInvalidArgument, "the compression level must be 1 to 19"));
  EXPECT_FALSE(files.Exists(kPath));
}

TEST(Writer, LeavesOutInvalidFramesAndCountsThem) {
  MemoryFiles files;
  auto writer = Create(files);
  std::vector<Frame> frames = {FrameAt(1000), FrameAt(2000), FrameAt(3000)};
  frames[1].length = 9;
  ASSERT_OK(writer->Append(frames));
  EXPECT_EQ(writer->stats().frames, 2U);
  EXPECT_EQ(writer->stats().rejected_frames, 1U);
}

TEST(Writer, CutsChunksByCount) {
  MemoryFiles files;
  WriterOptions options;
  options.frames_per_chunk = 10;
  auto writer = Create(files, {}, options);
  ASSERT_OK(writer->Append(std::vector<Frame>(25, FrameAt(0))));
  EXPECT_EQ(writer->stats().chunks, 2U);
  ASSERT_OK(writer->Finish());
  EXPECT_EQ(writer->stats().chunks, 3U);
}

TEST(Writer, CutsChunksByTimeForwardAndBackward) {
  MemoryFiles files;
  auto writer = Create(files);
  constexpr std::int64_t kSecond = 1'000'000'000;
  ASSERT_OK(writer->Append(std::vector<Frame>{FrameAt(100 * kSecond), FrameAt(129 * kSecond)}));
  EXPECT_EQ(writer->stats().chunks, 0U);
  ASSERT_OK(writer->Append(std::vector<Frame>{FrameAt(130 * kSecond), FrameAt(90 * kSecond)}));
  EXPECT_EQ(writer->stats().chunks, 2U);
}

TEST(Writer, RoundsTimesDownToTheResolution) {
  MemoryFiles files;
  auto writer = Create(files);
  ASSERT_OK(writer->Append(std::vector<Frame>{FrameAt(1999), FrameAt(-1)}));
  auto reader = Reader::Open(files, kPath);
  ASSERT_OK(reader);
  EXPECT_EQ((*reader)->first_time(), WallFromNanoseconds(1000));
  EXPECT_EQ((*reader)->last_time(), WallFromNanoseconds(-1000));
}

TEST(Writer, ChannelThatAppearsLaterIsInTheHeader) {
  MemoryFiles files;
  Header header;
  header.channels.push_back({0, "can0", "pack", 500000, 0, false, "kernel"});
  auto writer = Create(files, header);
  ASSERT_OK(writer->AddChannel({1, "can1", "drive", 250000, 0, false, "kernel"}));
  EXPECT_THAT(writer->AddChannel({1, "can2", "", 0, 0, false, ""}),
              IsError(ErrorKind::kInvalidArgument, "channel 1 is already in the session"));
  for (const bool finished : {false, true}) {
    if (finished) {
      ASSERT_OK(writer->Finish());
    }
    auto reader = Reader::Open(files, kPath);
    ASSERT_OK(reader);
    ASSERT_EQ((*reader)->header().channels.size(), 2U);
    EXPECT_EQ((*reader)->header().channels[1].name, "can1");
  }
}

TEST(Writer, KeepsTheWholeHeader) {
  MemoryFiles files;
  Header header;
  header.name = "first \xFF look";
  header.stage = Stage::kBeforeRepair;
  header.vehicle = "Bramble Seven (invented)";
  header.notes = "coolant on the floor";
  header.software = "proofdrived 0.1.0";
  header.source = "bench:coolant-leak";
  header.started = {WallFromNanoseconds(1'700'000'000'123'456'789), SteadyTime(Duration(77))};
  header.boot_id = "b";
  header.resolution = std::chrono::nanoseconds(1);
  header.definitions.push_back({"a.yaml", std::string(100'000, 'x')});
  header.definitions.push_back({"empty.yaml", ""});
  auto writer = Create(files, header);
  ASSERT_OK(writer->Finish());
  auto reader = Reader::Open(files, kPath);
  ASSERT_OK(reader);
  const Header& read = (*reader)->header();
  EXPECT_EQ(read.name, header.name);
  EXPECT_EQ(read.stage, header.stage);
  EXPECT_EQ(read.vehicle, header.vehicle);
  EXPECT_EQ(read.notes, header.notes);
  EXPECT_EQ(read.software, header.software);
  EXPECT_EQ(read.source, header.source);
  EXPECT_EQ(read.started.wall, header.started.wall);
  EXPECT_EQ(read.started.steady, header.started.steady);
  EXPECT_EQ(read.boot_id, header.boot_id);
  EXPECT_EQ(read.resolution, header.resolution);
  ASSERT_EQ(read.definitions.size(), 2U);
  EXPECT_EQ(read.definitions[0].text, header.definitions[0].text);
  EXPECT_EQ(read.definitions[1].text, "");
}

TEST(Writer, ManyEventsWithoutFramesDoNotPileUp) {
  MemoryFiles files;
  auto writer = Create(files);
  Event event;
  for (int i = 0; i < 3000; ++i) ASSERT_OK(writer->AddEvent(event));
  EXPECT_LT(writer->stats().journal_bytes, 100'000U);
  ASSERT_OK(writer->Finish());
  EXPECT_EQ((*Reader::Open(files, kPath))->events().size(), 3000U);
}

}  // namespace
}  // namespace proofdrive::session
