#include "output/pcapng/writer.h"

#include <gmock/gmock.h>

#include "tests/support/matchers.h"
#include "tests/unit/output/pcapng/capture_bytes.h"

namespace proofdrive::output {
namespace {

using proofdrive::testing::IsError;
using proofdrive::testing::MemoryFiles;
using ::testing::ElementsAre;
using ::testing::SizeIs;
using namespace testing;  // NOLINT: capture_bytes.h

session::Channel MakeChannel(std::uint8_t number, const std::string& name) {
  session::Channel channel;
  channel.number = number;
  channel.name = name;
  return channel;
}

std::unique_ptr<CaptureWriter> MakeWriter(MemoryFiles& files) {
  auto writer = CaptureWriter::Create(files, "x.pcapng", "proofdrive test").value();
  EXPECT_OK(writer->AddChannel(MakeChannel(3, "can0")));
  EXPECT_OK(writer->AddChannel(MakeChannel(1, "can1")));
  return writer;
}

TEST(Writer, ChannelsMarksAndDropsComeBack) {
  MemoryFiles files;
  auto writer = MakeWriter(files);
  ASSERT_OK(writer->AddFrame(MakeFrame(kT0, 0x100, 0, "01", 1), 5));
  ASSERT_OK(writer->AddMark(WallFromNanoseconds(kT0 + 1), "door open"));
  ASSERT_OK(writer->AddFrame(MakeFrame(kT0 + 2, 0x101, kSentHere, "02", 3)));
  writer->AddTrailingDrops(3, 2);
  ASSERT_OK(writer->Finish());
  const Contents contents = ReadCapture(files.Contents("x.pcapng"));
  ASSERT_THAT(contents.channels, SizeIs(2));
  EXPECT_EQ(contents.channels[0].name, "can0");
  EXPECT_THAT(contents.frames, ElementsAre(MakeFrame(kT0, 0x100, 0, "01", 1),
                                           MakeFrame(kT0 + 2, 0x101, kSentHere, "02", 0)));
  ASSERT_THAT(contents.events, SizeIs(3));
  EXPECT_EQ(contents.events[0].count, 5u);
  EXPECT_EQ(contents.events[1].text, "door open");
  EXPECT_EQ(contents.events[1].time, WallFromNanoseconds(kT0 + 1));
  EXPECT_EQ(contents.events[2].count, 2u);
  EXPECT_EQ(contents.events[2].channel, 0);
}

TEST(Writer, ChannelThatWasNotAddedIsRefused) {
  MemoryFiles files;
  EXPECT_THAT(MakeWriter(files)->AddFrame(MakeFrame(kT0, 1, 0, "", 0)),
              IsError(ErrorKind::kInvalidArgument, "channel 0 is not described"));
}

TEST(Writer, TimeBefore1970IsRefused) {
  MemoryFiles files;
  EXPECT_THAT(MakeWriter(files)->AddFrame(MakeFrame(-1, 1, 0, "", 1)),
              IsError(ErrorKind::kInvalidArgument,
                      "a time before 1970 (1969-12-31T23:59:59.999Z) cannot be written to pcapng"));
}

TEST(Writer, NothingIsOverwritten) {
  MemoryFiles files;
  files.Put("x.pcapng", {1});
  EXPECT_THAT(CaptureWriter::Create(files, "x.pcapng", "proofdrive test"),
              IsError(ErrorKind::kAlreadyExists, "create x.pcapng: File exists"));
}

TEST(Writer, FullDiskIsReported) {
  MemoryFiles files;
  auto writer = MakeWriter(files);
  ASSERT_OK(writer->AddFrame(MakeFrame(kT0, 0x100, 0, "01", 1)));
  files.SetCapacity(60);
  EXPECT_THAT(writer->Finish(), IsError(ErrorKind::kNoSpace, "x.pcapng: No space left on device"));
}

}  // namespace
}  // namespace proofdrive::output
