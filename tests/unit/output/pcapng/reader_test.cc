// IETF draft-ietf-opsawg-pcapng sections 3 and 4 (looked up) unless a test names another source.
#include "output/pcapng/reader.h"

#include <gmock/gmock.h>

#include "output/pcapng/blocks.h"
#include "tests/support/matchers.h"
#include "tests/unit/output/pcapng/capture_bytes.h"

namespace proofdrive::output {
namespace {

using proofdrive::testing::IsError;
using ::testing::ElementsAre;
using ::testing::IsEmpty;
using ::testing::SizeIs;
using namespace testing;  // NOLINT: capture_bytes.h

const Bytes kPacket = FromHex("00000123 02000000 AABB");

Frame Expected(std::int64_t ns, std::uint8_t channel = 0, std::uint8_t flags = 0) {
  return MakeFrame(ns, 0x123, flags, "AABB", channel);
}

// Everything that holds in both byte orders.
class BothOrders : public ::testing::TestWithParam<ByteOrder> {
 protected:
  const BlockMaker make{GetParam()};
};
INSTANTIATE_TEST_SUITE_P(Reader, BothOrders,
                         ::testing::Values(ByteOrder::kLittle, ByteOrder::kBig));

TEST_P(BothOrders, TimesAreMicrosecondsUnlessStated) {
  const Contents contents =
      ReadCapture(make.Section() + make.Interface() + make.Packet(0, 5'000'000'001, kPacket));
  EXPECT_THAT(contents.frames, ElementsAre(Expected(5'000'000'001'000)));
}

TEST_P(BothOrders, ResolutionAndOffsetOfEachInterface) {
  const Contents contents =
      ReadCapture(make.Section() + make.Interface({{9, {0x8A}}}) +
                  make.Interface({{9, {9}}, {14, make.Number(~std::uint64_t{0})}}) +  // offset -1 s
                  make.Packet(0, 1536, kPacket) + make.Packet(1, 2'000'000'001, kPacket));
  EXPECT_THAT(contents.frames, ElementsAre(Expected(1'500'000'000, 0), Expected(1'000'000'001, 1)));
}

TEST_P(BothOrders, DirectionFlag) {
  const Contents contents = ReadCapture(
      make.Section() + make.Interface({{9, {9}}}) +
      make.Packet(0, 1, kPacket, {{2, make.Number(std::uint32_t{1})}}) +
      make.Packet(0, 2, kPacket, {{2, make.Number(std::uint32_t{2})}}) +
      make.Packet(0, 3, kPacket, {{2, make.Number(std::uint32_t{0x01000002})}}));  // and CRC error
  EXPECT_THAT(contents.frames,
              ElementsAre(Expected(1), Expected(2, 0, kSentHere), Expected(3, 0, kSentHere)));
}

TEST_P(BothOrders, SpeedIsTheBitRate) {
  const Contents contents =
      ReadCapture(make.Section() +
                  make.Interface({{2, TextBytes("pt")}, {8, make.Number(std::uint64_t{500000})}}));
  ASSERT_THAT(contents.channels, SizeIs(1));
  EXPECT_EQ(contents.channels[0].bitrate, 500000u);
  EXPECT_EQ(contents.channels[0].name, "pt");
}

TEST_P(BothOrders, CommentsOfPacketsAreMarksAtTheirTime) {
  const Contents contents =
      ReadCapture(make.Section() + make.Interface({{9, {9}}}) +
                  make.Packet(0, 7, kPacket, {{1, TextBytes("key on")}, {1, TextBytes("second")}}));
  ASSERT_THAT(contents.events, SizeIs(2));
  EXPECT_EQ(contents.events[0].kind, session::EventKind::kMark);
  EXPECT_EQ(contents.events[0].text, "key on");
  EXPECT_EQ(contents.events[0].time, WallFromNanoseconds(7));
  EXPECT_EQ(contents.events[1].text, "second");
}

TEST_P(BothOrders, CommentsWithoutATimeAreMarksAtTheNextFrame) {
  const Contents contents =
      ReadCapture(make.Section({{1, TextBytes("about the file")}}) +
                  make.Interface({{1, TextBytes("about the interface")}, {9, {9}}}) +
                  make.Packet(0, 42, kPacket));
  ASSERT_THAT(contents.events, SizeIs(2));
  EXPECT_EQ(contents.events[0].text, "about the file");
  EXPECT_EQ(contents.events[0].time, WallFromNanoseconds(42));
  EXPECT_EQ(contents.events[1].text, "about the interface");
}

TEST_P(BothOrders, DropsBeyondThoseOfPacketsComeFromTheStatistics) {
  const Contents contents = ReadCapture(
      make.Section() + make.Interface({{9, {9}}}) +
      make.Packet(0, 10, kPacket, {{4, make.Number(std::uint64_t{3})}}) +
      make.Statistics(0, 20,
                      {{5, make.Number(std::uint64_t{4})}, {7, make.Number(std::uint64_t{1})}}) +
      make.Statistics(0, 30,
                      {{5, make.Number(std::uint64_t{4})}, {7, make.Number(std::uint64_t{1})}}));
  ASSERT_THAT(contents.events, SizeIs(2));
  EXPECT_EQ(contents.events[0].count, 3u);
  EXPECT_EQ(contents.events[1].count, 2u);
  EXPECT_EQ(contents.events[1].time, WallFromNanoseconds(20));
}

TEST_P(BothOrders, UnknownBlocksAndOptionsAreSkipped) {
  const Contents contents = ReadCapture(
      make.Section({{4711, TextBytes("?")}}) + make.Block(4, {}) + make.Block(10, {0, 0, 0, 0}) +
      make.Block(0x0BAD, {1, 2, 3, 4}) + make.Block(0x40000BAD, {1, 2, 3, 4}) +
      make.Block(0x7777, {9, 9, 9, 9}) + make.Interface({{9, {9}}, {2988, {0, 0, 0, 1, 5}}}) +
      make.Packet(0, 1, kPacket, {{3, {1, 2, 3}}, {5, make.Number(std::uint64_t{1})}}));
  EXPECT_THAT(contents.frames, ElementsAre(Expected(1)));
  EXPECT_EQ(contents.summary.unknown_blocks, 1u);
  EXPECT_THAT(Notices(contents.summary), ElementsAre("1 block of unknown type skipped"));
}

TEST_P(BothOrders, OptionsMayEndWithoutEndOfOptions) {
  const Bytes body = make.Number(std::uint16_t{227}) + make.Number(std::uint16_t{0}) +
                     make.Number(std::uint32_t{0}) + make.Options({{9, {9}}}, false);
  const Contents contents =
      ReadCapture(make.Section() + make.Block(1, body) + make.Packet(0, 1, kPacket));
  EXPECT_THAT(contents.frames, ElementsAre(Expected(1)));
}

TEST_P(BothOrders, MinorVersionTwoAndReservedBytesAreIgnored) {
  const Bytes interface =
      make.Block(1, make.Number(std::uint16_t{227}) + make.Number(std::uint16_t{0xFFFF}) +
                        make.Number(std::uint32_t{0}));
  const Contents contents =
      ReadCapture(make.Section({}, 1, 2) + interface + make.Packet(0, 1, kPacket));
  EXPECT_THAT(contents.frames, ElementsAre(Expected(1000)));
}

TEST_P(BothOrders, SimplePacketGetsTheTimeBeforeAndIsNoticed) {
  const Contents contents =
      ReadCapture(make.Section() + make.Interface({{9, {9}}}) + make.Packet(0, 77, kPacket) +
                  make.Block(3, make.Number(std::uint32_t{10}) + make.Padded(kPacket)));
  EXPECT_THAT(contents.frames, ElementsAre(Expected(77), Expected(77)));
  EXPECT_THAT(Notices(contents.summary),
              ElementsAre("1 frame without a time of its own, given the time of the one before"));
}

TEST(Reader, SectionsHaveTheirOwnByteOrderAndInterfaceNumbers) {
  const BlockMaker little(ByteOrder::kLittle);
  const BlockMaker big(ByteOrder::kBig);
  const Contents contents = ReadCapture(
      little.Section() + little.Interface({{2, TextBytes("a")}, {9, {9}}}) +
      little.Interface({{2, TextBytes("b")}, {9, {9}}}) + little.Packet(1, 1, kPacket) +
      big.Section() + big.Interface({{2, TextBytes("b")}, {9, {6}}}) +
      big.Interface({{2, TextBytes("c")}}) + big.Packet(0, 2, kPacket) + big.Packet(1, 3, kPacket));
  EXPECT_THAT(contents.frames, ElementsAre(Expected(1, 1), Expected(2000, 1), Expected(3000, 2)));
  ASSERT_THAT(contents.channels, SizeIs(3));
  EXPECT_EQ(contents.channels[2].name, "c");
}

TEST(Reader, NamesAreMadeUniqueWithinASectionAndGivenWhereMissing) {
  const BlockMaker make(ByteOrder::kLittle);
  const Contents contents =
      ReadCapture(make.Section() + make.Interface({{2, TextBytes("can0")}}) +
                  make.Interface({{2, TextBytes("can0")}}) + make.Interface());
  ASSERT_THAT(contents.channels, SizeIs(3));
  EXPECT_EQ(contents.channels[0].name, "can0");
  EXPECT_EQ(contents.channels[1].name, "can0-1");
  EXPECT_EQ(contents.channels[2].name, "ch2");
}

TEST(Reader, OtherLinkTypesAreNamedAndSkipped) {
  const BlockMaker make(ByteOrder::kLittle);
  const Contents contents =
      ReadCapture(make.Section() + make.Interface({}, 1) + make.Interface({{9, {9}}}) +
                  make.Packet(0, 1, FromHex("FFFFFFFFFFFF")) + make.Packet(1, 2, kPacket));
  EXPECT_THAT(contents.frames, ElementsAre(Expected(2)));
  EXPECT_THAT(Notices(contents.summary),
              ElementsAre("1 interface of link type Ethernet (1) skipped with 1 packet; only CAN "
                          "(227) is read"));
}

TEST(Reader, MalformedPacketsAndExtraLongFramesAreCountedAndTheRestIsRead) {
  const BlockMaker make(ByteOrder::kLittle);
  const Contents contents = ReadCapture(
      make.Section() + make.Interface({{9, {9}}}) + make.Packet(0, 1, FromHex("000001")) +
      make.Packet(5, 2, kPacket) + make.Packet(0, 3, FromHex("0000010080000000 00000000")) +
      make.Packet(0, 4, kPacket));
  EXPECT_THAT(contents.frames, ElementsAre(Expected(4)));
  EXPECT_THAT(Notices(contents.summary),
              ElementsAre("1 CAN XL frame skipped; sessions hold classic and FD frames",
                          "2 malformed packets skipped, the first at byte 60: a packet of 3 bytes "
                          "is too short for a CAN frame"));
}

TEST(Reader, PacketThatClaimsMoreThanItsBlockIsMalformed) {
  const BlockMaker make(ByteOrder::kLittle);
  const Bytes body = make.Number(std::uint32_t{0}) + make.Ticks(1) +
                     make.Number(std::uint32_t{0xFFFFFFFF}) + make.Number(std::uint32_t{10}) +
                     make.Padded(kPacket);
  const Contents contents = ReadCapture(make.Section() + make.Interface({{9, {9}}}) +
                                        make.Block(6, body) + make.Packet(0, 2, kPacket));
  EXPECT_THAT(contents.frames, ElementsAre(Expected(2)));
  EXPECT_EQ(contents.summary.first_malformed, "byte 60: a packet that claims more than its block");
}

TEST(Reader, HugeBlockIsSteppedOverWithoutReadingIt) {
  const BlockMaker make(ByteOrder::kLittle);
  const Contents contents =
      ReadCapture(make.Section() + make.Interface({{9, {9}}}) +
                  make.Block(6, Bytes(2 * 1024 * 1024, 0)) + make.Packet(0, 2, kPacket));
  EXPECT_THAT(contents.frames, ElementsAre(Expected(2)));
  EXPECT_EQ(contents.summary.unknown_blocks, 1u);
}

TEST(Reader, LengthBeyondTheFileIsATruncation) {
  const BlockMaker make(ByteOrder::kLittle);
  const Contents contents =
      ReadCapture(make.Section() + make.Interface({{9, {9}}}) + make.Packet(0, 2, kPacket) +
                  make.Number(std::uint32_t{6}) + make.Number(std::uint32_t{0xFFFFFFFC}) +
                  make.Number(std::uint32_t{0}));
  EXPECT_THAT(contents.frames, ElementsAre(Expected(2)));
  ASSERT_TRUE(contents.summary.loss);
  EXPECT_THAT(Notices(contents.summary),
              ElementsAre("the file ends in the middle of something that begins at byte 104; "
                          "everything before was read and the last 12 bytes lost. Copy the capture "
                          "again if the original is longer"));
}

TEST(Reader, DamageEndsReadingWithThePlace) {
  const BlockMaker make(ByteOrder::kLittle);
  Bytes bytes = make.Section() + make.Interface({{9, {9}}}) + make.Packet(0, 2, kPacket);
  bytes = bytes + make.Number(std::uint32_t{6}) + make.Number(std::uint32_t{7}) + Bytes(40, 0);
  const Contents contents = ReadCapture(bytes);
  EXPECT_THAT(contents.frames, ElementsAre(Expected(2)));
  ASSERT_TRUE(contents.summary.loss);
  EXPECT_EQ(contents.summary.loss->what,
            "damaged at byte 104 (a block of 7 bytes cannot be); everything before was read and "
            "the last 48 bytes lost");
  EXPECT_EQ(contents.summary.loss->offset, 104u);
  EXPECT_EQ(contents.summary.loss->bytes, 48u);
}

TEST(Reader, LengthsOfABlockThatDifferAreDamage) {
  const BlockMaker make(ByteOrder::kLittle);
  Bytes bytes = make.Section() + make.Interface({{9, {9}}}) + make.Packet(0, 2, kPacket);
  bytes[bytes.size() - 4] ^= 4;
  const Contents contents = ReadCapture(bytes);
  EXPECT_THAT(contents.frames, IsEmpty());
  ASSERT_TRUE(contents.summary.loss);
  EXPECT_EQ(contents.summary.loss->offset, 60u);
}

// No registry or standard limits these; the figures are ours.
TEST(Reader, MoreThan256ChannelsAreCountedAndSkipped) {
  const BlockMaker make(ByteOrder::kLittle);
  Bytes bytes = make.Section();
  for (int i = 0; i < 258; ++i) bytes = bytes + make.Interface({{9, {9}}});
  const Contents contents =
      ReadCapture(bytes + make.Packet(255, 1, kPacket) + make.Packet(256, 2, kPacket) +
                  make.Packet(257, 3, kPacket));
  EXPECT_THAT(contents.frames, ElementsAre(Expected(1, 255)));
  EXPECT_THAT(Notices(contents.summary),
              ElementsAre("2 frames skipped: a session holds at most 256 channels"));
}

TEST(Reader, BusFromTheDescriptionOnlyInOurOwnFiles) {
  const BlockMaker make(ByteOrder::kLittle);
  const Bytes interface = make.Interface({{3, TextBytes("bus pack")}});
  EXPECT_EQ(ReadCapture(make.Section({{4, TextBytes("proofdrive 1")}}) + interface).channels[0].bus,
            "pack");
  EXPECT_EQ(ReadCapture(make.Section() + interface).channels[0].bus, "");
}

// --- files that are no capture ---

Status OpenStatus(const Bytes& bytes) { return ReadCapture(bytes).opened; }

constexpr char kAdvice[] =
    ". Give a pcapng or pcap file with CAN frames (link type 227); see docs/captures.md";

TEST(Reader, EmptyFile) {
  EXPECT_THAT(OpenStatus({}),
              IsError(ErrorKind::kInvalidArgument,
                      std::string("x.pcapng: not a capture: the file is empty") + kAdvice));
}

TEST(Reader, NotACapture) {
  EXPECT_THAT(
      OpenStatus(TextBytes("hello")),
      IsError(ErrorKind::kInvalidArgument,
              std::string("x.pcapng: not a capture: it begins with 68 65 6C 6C") + kAdvice));
}

TEST(Reader, CompressedFile) {
  EXPECT_THAT(
      OpenStatus(FromHex("1F8B0800")),
      IsError(ErrorKind::kInvalidArgument,
              std::string("x.pcapng: not a capture: it is compressed (gzip); unpack it first") +
                  kAdvice));
}

TEST(Reader, SessionIsNoCapture) {
  EXPECT_THAT(
      OpenStatus(FromHex("D77072666472760A")),
      IsError(ErrorKind::kInvalidArgument,
              std::string("x.pcapng: not a capture: it is a session already; use it as it is") +
                  kAdvice));
}

TEST(Reader, NewerVersionOfTheFormat) {
  EXPECT_THAT(OpenStatus(BlockMaker(ByteOrder::kBig).Section({}, 2)),
              IsError(ErrorKind::kUnsupportedVersion,
                      "x.pcapng: pcapng of version 2, which is not known here; save it as version "
                      "1"));
}

TEST(Reader, MissingFile) {
  proofdrive::testing::MemoryFiles files;
  EXPECT_THAT(OpenCapture(files, "gone.pcapng"),
              IsError(ErrorKind::kNotFound, "open gone.pcapng: No such file or directory"));
}

// --- classic pcap, IETF draft-ietf-opsawg-pcap ---

Bytes ClassicHeader(const BlockMaker& make, std::uint32_t magic, std::uint32_t link) {
  return make.Number(magic) + make.Number(std::uint16_t{2}) + make.Number(std::uint16_t{4}) +
         make.Number(std::uint64_t{0}) + make.Number(std::uint32_t{65535}) + make.Number(link);
}

Bytes ClassicRecord(const BlockMaker& make, std::uint32_t seconds, std::uint32_t fraction,
                    const Bytes& packet) {
  const auto length = static_cast<std::uint32_t>(packet.size());
  return make.Number(seconds) + make.Number(fraction) + make.Number(length) + make.Number(length) +
         packet;
}

TEST_P(BothOrders, ClassicMicrosecondsAndNanoseconds) {
  const Contents micro =
      ReadCapture(ClassicHeader(make, 0xA1B2C3D4, 227) + ClassicRecord(make, 3, 5, kPacket) +
                  ClassicRecord(make, 3, 6, kPacket));
  EXPECT_THAT(micro.frames, ElementsAre(Expected(3'000'005'000), Expected(3'000'006'000)));
  const Contents nano =
      ReadCapture(ClassicHeader(make, 0xA1B23C4D, 227) + ClassicRecord(make, 3, 5, kPacket));
  EXPECT_THAT(nano.frames, ElementsAre(Expected(3'000'000'005)));
}

TEST_P(BothOrders, ClassicUpperHalfOfTheLinkTypeIsFlags) {
  const Contents contents = ReadCapture(ClassicHeader(make, 0xA1B2C3D4, 0xF0000000 | 227) +
                                        ClassicRecord(make, 0, 1, kPacket));
  EXPECT_THAT(contents.frames, SizeIs(1));
}

TEST(Reader, ClassicOtherLinkType) {
  const BlockMaker make(ByteOrder::kLittle);
  const Contents contents =
      ReadCapture(ClassicHeader(make, 0xA1B2C3D4, 113) + ClassicRecord(make, 0, 1, kPacket));
  EXPECT_THAT(contents.frames, IsEmpty());
  EXPECT_THAT(Notices(contents.summary),
              ElementsAre("1 interface of link type Linux cooked (113) skipped with 1 packet; only "
                          "CAN (227) is read"));
}

TEST(Reader, ClassicTruncatedAtEveryLength) {
  const BlockMaker make(ByteOrder::kBig);
  const Bytes whole = ClassicHeader(make, 0xA1B2C3D4, 227) + ClassicRecord(make, 1, 1, kPacket) +
                      ClassicRecord(make, 1, 2, kPacket);
  for (std::size_t length = 4; length < whole.size(); ++length) {
    const Contents contents =
        ReadCapture(Bytes(whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(length)));
    ASSERT_OK(contents.opened);
    EXPECT_EQ(contents.frames.size(), length < 50 ? 0u : 1u) << length;
    EXPECT_EQ(contents.summary.loss.has_value(), length != 24 && length != 50) << length;
  }
}

TEST(Reader, ClassicPacketOfImpossibleLengthIsDamage) {
  const BlockMaker make(ByteOrder::kLittle);
  Bytes record = ClassicRecord(make, 1, 1, kPacket);
  record[11] = 0xFF;
  const Contents contents = ReadCapture(ClassicHeader(make, 0xA1B2C3D4, 227) + record);
  ASSERT_TRUE(contents.summary.loss);
  EXPECT_EQ(contents.summary.loss->what,
            "damaged at byte 24 (a packet of 4278190090 bytes cannot be); everything before was "
            "read and the last 26 bytes lost");
}

// --- link types, tcpdump.org registry (looked up: 227; the rest from memory) ---

TEST(Blocks, LinkTypesByName) {
  EXPECT_EQ(LinkTypeText(227), "CAN (227)");
  EXPECT_EQ(LinkTypeText(1), "Ethernet (1)");
  EXPECT_EQ(LinkTypeText(4711), "4711");
}

}  // namespace
}  // namespace proofdrive::output
