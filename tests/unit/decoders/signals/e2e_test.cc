// AUTOSAR E2E profiles. Frames of the specification's worked examples, as public test vectors cite
// them (PRS_E2EProtocol 6.6.5 for profile 5, the example configuration of profile 1): marked
// "looked up", the specification itself was not opened. The others are calculated by the rule
// alone: marked "computed".
#include <gtest/gtest.h>

#include "core/base/text.h"
#include "tests/unit/decoders/test_definitions.h"

namespace proofdrive::decoders {
namespace {

Frame FrameOf(const std::string& hex) { return testing::MakeFrame(1, ParseHexBytes(hex).value()); }

std::string File(const std::string& counter, const std::string& checksum, int length = 8) {
  return "frames: {guarded: {id: 1, length: " + std::to_string(length) + ", " + counter +
         "checksum: {" + checksum + "}}}\n";
}

std::uint64_t ChecksumFaults(const std::string& file, const std::string& hex) {
  const auto decoder = Decoder::Create(testing::Load(file), {});
  std::vector<Value> values;
  decoder->Decode(FrameOf(hex), values);
  return decoder->faults()[0].checksum_faults;
}

// Every published frame holds, and fails when any of its bits is turned over.
void ExpectGuards(const std::string& file, const std::vector<std::string>& frames) {
  for (const std::string& hex : frames) {
    EXPECT_EQ(ChecksumFaults(file, hex), 0U) << hex;
    const auto decoder = Decoder::Create(testing::Load(file), {});
    const Frame good = FrameOf(hex);
    std::vector<Value> values;
    for (unsigned bit = 0; bit < good.length * 8U; ++bit) {
      Frame bad = good;
      bad.data[bit / 8] = static_cast<std::uint8_t>(bad.data[bit / 8] ^ (1U << bit % 8));
      decoder->Decode(bad, values);
      EXPECT_EQ(decoder->faults()[0].checksum_faults, bit + 1) << hex << " bit " << bit;
    }
  }
}

const std::string kCounter1 = "counter: {where: byte 1 bits 0-3, counts to: 14}, ";
const std::string kCounter2 = "counter: {where: byte 1 bits 0-3, counts to: 15}, ";
const std::string kProfile1 = "where: byte 0, kind: e2e-profile-1, data id: 0x0123";

TEST(E2eProfile1, BothBytesOfTheDataId) {  // 0 and 1 looked up, 2 and 14 computed
  ExpectGuards(File(kCounter1, kProfile1),
               {"CC00000000000000", "9101000000000000", "7602000000000000", "CD0E000000000000"});
}

// A frame whose counter is flipped between even and odd takes the other byte of the data id, so
// single flips there are only as sure as any other error: the frames are checked as they are.
TEST(E2eProfile1, AlternatingBytesOfTheDataId) {  // looked up
  const std::string file = File(kCounter1, kProfile1 + ", data id mode: alternating");
  EXPECT_EQ(ChecksumFaults(file, "CE00000000000000"), 0U);
  EXPECT_EQ(ChecksumFaults(file, "0201000000000000"), 0U);
  EXPECT_EQ(ChecksumFaults(file, "9301000000000000"), 1U);  // right for mode low
}

TEST(E2eProfile1, LowByteOfTheDataId) {  // looked up
  ExpectGuards(File(kCounter1, kProfile1 + ", data id mode: low"),
               {"CE00000000000000", "9301000000000000"});
}

TEST(E2eProfile1, NibbleOfTheDataId) {  // looked up
  const std::string file = File(kCounter1, kProfile1 + ", data id mode: nibble");
  ExpectGuards(file, {"2A10000000000000", "7711000000000000"});
}

// The checksum holds, and yet the half byte of the data id is another one.
TEST(E2eProfile1, NibbleOfAnotherDataId) {
  EXPECT_EQ(ChecksumFaults(File(kCounter1,
                                "where: byte 0, kind: e2e-profile-1, data id: 0x0223, "
                                "data id mode: nibble"),
                           "2A10000000000000"),
            1U);
}

TEST(E2eProfile1, NibbleElsewhere) {
  const std::string file =
      File("", kProfile1 + ", data id mode: nibble, data id nibble: byte 7 bits 0-3");
  EXPECT_EQ(ChecksumFaults(file, "2A10000000000000"), 1U);
}

TEST(E2eProfile1, CountsTo14) {  // 15 is never sent; rule from memory
  const auto decoder = Decoder::Create(testing::Load(File(kCounter1, kProfile1)), {});
  std::vector<Value> values;
  for (const char* hex : {"CD0E000000000000", "CC00000000000000", "9101000000000000"}) {
    decoder->Decode(FrameOf(hex), values);
  }
  EXPECT_EQ(decoder->faults()[0].counter_faults, 0U);
  decoder->Decode(FrameOf("CD0E000000000000"), values);
  EXPECT_EQ(decoder->faults()[0].counter_faults, 1U);
  EXPECT_EQ(decoder->faults()[0].checksum_faults, 0U);
}

std::string Profile2(const std::string& ids) {
  return File(kCounter2, "where: byte 0, kind: e2e-profile-2, data ids: [" + ids + "]");
}

TEST(E2eProfile2, SameDataIdForEveryCounter) {  // counter 1 looked up, the others computed
  ExpectGuards(Profile2("0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0"),
               {"2100000000000000", "4501000000000000", "630F000000000000"});
}

TEST(E2eProfile2, DataIdsFrom0) {  // counters 1 and 2 looked up, 15 computed
  const std::string file = Profile2("0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15");
  for (const char* hex : {"6101020304050607", "BC02020304050607", "F20F020304050607"}) {
    EXPECT_EQ(ChecksumFaults(file, hex), 0U) << hex;
  }
  EXPECT_EQ(ChecksumFaults(file, "6101020304050606"), 1U);
}

TEST(E2eProfile2, DataIdsFrom1) {  // computed
  const std::string file = Profile2("1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16");
  for (const char* hex :
       {"0E00000000000000", "1B01000000000000", "9802000000000000", "CD0F000000000000"}) {
    EXPECT_EQ(ChecksumFaults(file, hex), 0U) << hex;
  }
  EXPECT_EQ(ChecksumFaults(file, "2100000000000000"), 1U);  // right for a data id of 0
}

const std::string kProfile5 = "kind: e2e-profile-5, data id: 0x1234, where: ";

TEST(E2eProfile5, AtTheBeginning) {  // looked up (table 6.47)
  ExpectGuards(File("counter: {where: byte 2}, ", kProfile5 + "bytes 0-1 little"),
               {"1CCA000000000000", "CF8D010000000000", "535EFF0000000000"});
}

TEST(E2eProfile5, Within) {  // looked up (table 6.48)
  const std::string zeros(16, '0');
  ExpectGuards(File("counter: {where: byte 10}, ", kProfile5 + "bytes 8-9 little", 16),
               {zeros + "2891000000000000", zeros + "FBD6010000000000"});
}

TEST(E2eProfile5, WithData) {  // computed
  ExpectGuards(File("counter: {where: byte 2}, ", kProfile5 + "bytes 0-1 little"),
               {"39CF071122334455"});
}

TEST(E2eProfile5, CountsTo255) {  // computed
  const auto decoder = Decoder::Create(
      testing::Load(File("counter: {where: byte 2}, ", kProfile5 + "bytes 0-1 little")), {});
  std::vector<Value> values;
  for (const char* hex : {"535EFF0000000000", "1CCA000000000000", "CF8D010000000000"}) {
    decoder->Decode(FrameOf(hex), values);
  }
  EXPECT_EQ(decoder->faults()[0].counter_faults, 0U);
}

TEST(E2e, TooShortForTheCounterFails) {
  EXPECT_EQ(ChecksumFaults("frames: {guarded: {id: 1, counter: {where: byte 3 bits 0-3, "
                           "counts to: 14}, checksum: {over: bytes 0-1, " +
                               kProfile1 + ", data id mode: alternating}}}\n",
                           "CE00"),
            1U);
}

// The generic CRC, with the parameters of two named ones (AUTOSAR Specification of CRC Routines)
// and those of a plain CRC-8 (computed only).
TEST(GenericCrc8, HasTheCheckValuesOfTheNamedOnes) {
  const std::string digits = "313233343536373839";
  const auto faults = [&](const std::string& parameters, const std::string& crc) {
    return ChecksumFaults(
        "frames: {guarded: {id: 1, checksum: {where: byte 9, kind: crc-8, over: bytes 0-8, " +
            parameters + "}}}\n",
        digits + crc + "0000");
  };
  EXPECT_EQ(faults("polynomial: 0x1D, start: 0xFF, final xor: 0xFF", "4B"), 0U);
  EXPECT_EQ(faults("polynomial: 0x2F, start: 0xFF, final xor: 0xFF", "DF"), 0U);
  EXPECT_EQ(faults("polynomial: 0x1D", "37"), 0U);
  EXPECT_EQ(faults("polynomial: 0x1D", "4B"), 1U);
}

}  // namespace
}  // namespace proofdrive::decoders
