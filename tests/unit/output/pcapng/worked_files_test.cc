// Complete files in hexadecimal: what they hold was computed from the drafts named beside each and
// read back with libpcap 1.10.3 and a second general packet library.
#include <gmock/gmock.h>

#include <algorithm>

#include "output/pcapng/writer.h"
#include "tests/support/matchers.h"
#include "tests/unit/output/pcapng/capture_bytes.h"

namespace proofdrive::output {
namespace {

using ::testing::ElementsAre;
using namespace testing;  // NOLINT: capture_bytes.h

// IETF draft-ietf-opsawg-pcapng section 4; tcpdump.org LINKTYPE_CAN_SOCKETCAN (computed).
constexpr char kSection[] = "0a0d0d0a1c0000004d3c2b1a01000000ffffffffffffffff1c000000";
constexpr char kInterface[] =
    "0100000028000000e3000000000000000200040063616e3009000100090000000000000028000000";
constexpr char kClassic[] =
    "060000003800000000000000fe9c971715cd853d0c0000000c0000000000012304000000deadbeef02000400010000"
    "000000000038000000";
constexpr char kFd[] =
    "060000004000000000000000fe9c9717fdd0853d140000001400000098daf1100c050000000102030405060708090a"
    "0b02000400020000000000000040000000";
constexpr char kError[] =
    "060000004800000000000000fe9c9717e5d4853d100000001000000020000204080000000010000000000088020004"
    "00"
    "010000000400080007000000000000000000000048000000";
constexpr char kRemoteFrame[] =
    "060000002800000000000000fe9c9717cdd8853d0800000008000000400003210400000028000000";
constexpr char kStatistics[] =
    "050000003400000000000000fe9c9717b5dc853d040008000400000000000000050008000700000000000000000000"
    "00"
    "34000000";

Bytes WholeFile() {
  return FromHex(std::string(kSection) + kInterface + kClassic + kFd + kError + kRemoteFrame +
                 kStatistics);
}

Frame RemoteFrame() {
  Frame frame = MakeFrame(kT0 + 3000, 0x321, kRemote, "");
  frame.length = 4;
  return frame;
}

std::vector<Frame> WholeFileFrames() {
  return {
      MakeFrame(kT0, 0x123, 0, "DEADBEEF"),
      MakeFrame(kT0 + 1000, 0x18DAF110, kExtendedId | kFlexibleData | kBitRateSwitch | kSentHere,
                "000102030405060708090A0B"),
      MakeFrame(kT0 + 2000, 0x204, kErrorMessage, "0010000000000088"), RemoteFrame()};
}

TEST(WorkedFiles, LittleEndianFileWithEveryKindOfFrame) {
  const Contents contents = ReadCapture(WholeFile());
  ASSERT_OK(contents.opened);
  EXPECT_EQ(contents.frames, WholeFileFrames());
  EXPECT_EQ(contents.summary.malformed, 0u);
  EXPECT_FALSE(contents.summary.loss);
  ASSERT_EQ(contents.channels.size(), 1u);
  EXPECT_EQ(contents.channels[0].name, "can0");
  EXPECT_EQ(contents.channels[0].timestamps, "file");
}

TEST(WorkedFiles, DropCountOfAPacketIsOneEventThoughTheStatisticsRepeatIt) {
  const Contents contents = ReadCapture(WholeFile());
  ASSERT_EQ(contents.events.size(), 1u);
  EXPECT_EQ(contents.events[0].kind, session::EventKind::kDrops);
  EXPECT_EQ(contents.events[0].count, 7u);
  EXPECT_EQ(contents.events[0].channel, 0);
  EXPECT_EQ(contents.events[0].time, WallFromNanoseconds(kT0 + 2000));
}

TEST(WorkedFiles, WriterMakesTheSamePacketBlocks) {
  proofdrive::testing::MemoryFiles files;
  auto writer = CaptureWriter::Create(files, "out.pcapng", "proofdrive test").value();
  session::Channel channel;
  channel.name = "can0";
  ASSERT_OK(writer->AddChannel(channel));
  const std::vector<Frame> frames = WholeFileFrames();
  ASSERT_OK(writer->AddFrame(frames[0]));
  ASSERT_OK(writer->AddFrame(frames[1]));
  ASSERT_OK(writer->AddFrame(frames[2], 7));
  ASSERT_OK(writer->Finish());
  const Bytes& bytes = files.Contents("out.pcapng");
  for (const char* hex : {kInterface, kClassic, kFd, kError}) {
    const Bytes block = FromHex(hex);
    EXPECT_NE(std::search(bytes.begin(), bytes.end(), block.begin(), block.end()), bytes.end())
        << hex;
  }
}

TEST(WorkedFiles, BigEndianFile) {
  const Contents contents = ReadCapture(
      FromHex("0a0d0d0a0000001c1a2b3c4d00010000ffffffffffffffff0000001c000000010000002000e300000000"
              "000000090001090000000000000000000020000000060000002c0000000017979cfe3d85cd150000000c"
              "0000000c0000012304000000deadbeef0000002c"));
  ASSERT_OK(contents.opened);
  EXPECT_THAT(contents.frames, ElementsAre(MakeFrame(kT0, 0x123, 0, "DEADBEEF")));
  EXPECT_FALSE(contents.summary.loss);
}

// IETF draft-ietf-opsawg-pcap (computed).
TEST(WorkedFiles, ClassicLittleEndianNanoseconds) {
  const Contents contents = ReadCapture(FromHex(
      "4d3cb2a1020004000000000000000000ffff0000e300000000f1536515cd5b070c0000000c00000000000123"
      "04000000deadbeef"));
  ASSERT_OK(contents.opened);
  EXPECT_THAT(contents.frames, ElementsAre(MakeFrame(kT0, 0x123, 0, "DEADBEEF")));
  EXPECT_FALSE(contents.summary.loss);
}

TEST(WorkedFiles, ClassicBigEndianMicroseconds) {
  const Contents contents = ReadCapture(FromHex(
      "a1b2c3d40002000400000000000000000000ffff000000e36553f1000001e2400000000c0000000c00000123"
      "04000000deadbeef"));
  ASSERT_OK(contents.opened);
  EXPECT_THAT(contents.frames, ElementsAre(MakeFrame(kT0 - 789, 0x123, 0, "DEADBEEF")));
}

TEST(WorkedFiles, TruncatedAtEveryLengthDeliversEverythingBeforeAndNeverMore) {
  const Bytes whole = WholeFile();
  const std::vector<Frame> all = WholeFileFrames();
  std::size_t previous = 0;
  for (std::size_t length = 1; length < whole.size(); ++length) {
    const Contents contents =
        ReadCapture(Bytes(whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(length)));
    if (length < 4) {
      EXPECT_FALSE(contents.opened.ok());
      continue;
    }
    ASSERT_OK(contents.opened) << length;
    ASSERT_LE(contents.frames.size(), all.size());
    EXPECT_GE(contents.frames.size(), previous) << length;
    EXPECT_TRUE(std::equal(contents.frames.begin(), contents.frames.end(), all.begin())) << length;
    previous = contents.frames.size();
    const bool at_block_end = length == 28 || length == 68 || length == 124 || length == 188 ||
                              length == 260 || length == 300;
    EXPECT_EQ(contents.summary.loss.has_value(), !at_block_end) << length;
    if (contents.summary.loss) {
      EXPECT_EQ(contents.summary.loss->offset + contents.summary.loss->bytes, length);
    }
  }
  EXPECT_EQ(previous, all.size());
}

TEST(WorkedFiles, EveryByteSpoiledNeverCrashesOrHangs) {
  const Bytes whole = WholeFile();
  for (std::size_t at = 0; at < whole.size(); ++at) {
    for (const std::uint8_t value : Bytes{0x00, 0xFF, 0x80, 0x0A}) {
      Bytes spoiled = whole;
      spoiled[at] = value;
      const Contents contents = ReadCapture(spoiled);
      EXPECT_LE(contents.frames.size(), 4u);
    }
  }
}

}  // namespace
}  // namespace proofdrive::output
