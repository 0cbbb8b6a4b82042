// Values asked for by identifier, from recorded answers.
#include <gmock/gmock.h>

#include "decoders/signals/decoder.h"
#include "tests/unit/decoders/test_definitions.h"
#include "tests/unit/decoders/transport/bytes_text.h"

namespace proofdrive::decoders {
namespace {

using namespace std::chrono_literals;
using testing::Hex;
using ::testing::IsEmpty;
using testing::Load;
using testing::MakeFrame;

constexpr char kDefinitions[] = R"(byte order: big
buses: {pack: {bitrate: 500000}, drive: {bitrate: 500000}}
frames:
  status: {bus: pack, id: 0x2A1, signals: {pack_voltage: {where: bytes 0-1, scale: 0.1, unit: V}}}
control units:
  pack_controller: {bus: pack, request: 0x7E5, answer: 0x7ED}
readings:
  isolation: {from: pack_controller, identifier: 0xD1A4, where: bytes 0-1, unit: kohm, absent: 0xFFFF, role: isolation resistance}
  wetness: {from: pack_controller, identifier: 0xD1A5, where: byte 8, scale: 0.5, unit: ml}
computed:
  per_volt: {formula: isolation * 1000 / pack_voltage, unit: ohm/V}
)";

class ReadingTest : public ::testing::Test {
 protected:
  std::vector<Value> Feed(std::uint32_t id, const char* bytes, Duration at,
                          std::uint8_t channel = 0) {
    Frame frame = MakeFrame(id, Hex(bytes), at);
    frame.channel = channel;
    std::vector<Value> values;
    decoder_->Decode(frame, values);
    return values;
  }
  const std::string& NameOf(const Value& value) const {
    return definitions_->signals[value.signal].name;
  }

  std::shared_ptr<const Definitions> definitions_ = Load(kDefinitions);
  std::vector<ChannelBus> channels_ = {{0, "pack"}, {1, "drive"}};
  std::unique_ptr<Decoder> decoder_ = Decoder::Create(definitions_, channels_);
};

TEST_F(ReadingTest, AnAnswerGivesItsValue) {
  EXPECT_THAT(Feed(0x7E5, "03 22 D1 A4", 0ms), IsEmpty());
  const auto values = Feed(0x7ED, "05 62 D1 A4 01 F4", 12ms);
  ASSERT_EQ(values.size(), 1u);
  EXPECT_EQ(NameOf(values[0]), "isolation");
  EXPECT_EQ(values[0].number, 500);
  EXPECT_EQ(values[0].time, WallTime(12ms));
}

TEST_F(ReadingTest, ALongAnswerGivesItsValueWithItsLastFrame) {
  EXPECT_THAT(Feed(0x7ED, "10 0C 62 D1 A5 00 00 00", 0ms), IsEmpty());
  const auto values = Feed(0x7ED, "21 00 00 00 00 00 2A AA", 5ms);
  ASSERT_EQ(values.size(), 1u);
  EXPECT_EQ(NameOf(values[0]), "wetness");
  EXPECT_EQ(values[0].number, 21);
}

TEST_F(ReadingTest, ComputedSignalsUseIt) {
  EXPECT_EQ(Feed(0x2A1, "0F A0", 0ms).size(), 1u);  // 400 V
  const auto values = Feed(0x7ED, "05 62 D1 A4 00 C8", 10ms);
  ASSERT_EQ(values.size(), 2u);
  EXPECT_EQ(NameOf(values[1]), "per_volt");
  EXPECT_EQ(values[1].number, 500);
}

TEST_F(ReadingTest, AbsentOnesAndOthersGiveNone) {
  const auto values = Feed(0x7ED, "05 62 D1 A4 FF FF", 0ms);
  ASSERT_EQ(values.size(), 1u);
  EXPECT_EQ(values[0].validity, Validity::kAbsent);
  EXPECT_THAT(Feed(0x7ED, "03 7F 22 31", 0ms), IsEmpty());
  EXPECT_THAT(Feed(0x7ED, "05 62 D1 A6 01 F4", 0ms), IsEmpty());
  EXPECT_THAT(Feed(0x7EB, "05 62 D1 A4 01 F4", 0ms), IsEmpty()) << "another unit";
  EXPECT_THAT(Feed(0x7ED, "05 62 D1 A4 01 F4", 0ms, 1), IsEmpty()) << "another bus";
  EXPECT_THAT(Feed(0x7ED, "04 62 D1 A4 01", 0ms), IsEmpty()) << "too short";
}

}  // namespace
}  // namespace proofdrive::decoders
