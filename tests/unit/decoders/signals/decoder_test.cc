#include "decoders/signals/decoder.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <map>

#include "tests/unit/decoders/test_definitions.h"

namespace proofdrive::decoders {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;
using testing::Load;
using testing::MakeFrame;

// "name=number", "name[2]=number", with "?" for absent and "!" for out of range.
std::vector<std::string> Show(const Definitions& definitions, const std::vector<Value>& values) {
  std::vector<std::string> shown;
  for (const Value& value : values) {
    const Signal& signal = definitions.signals[value.signal];
    std::string text = signal.name;
    if (signal.is_series) text += "[" + std::to_string(value.element + 1) + "]";
    char number[40];
    std::snprintf(number, sizeof(number), "%.6g", value.number);
    text += value.validity == Validity::kAbsent ? "?" : "=" + std::string(number);
    if (value.validity == Validity::kOutOfRange) text += "!";
    shown.push_back(text);
  }
  return shown;
}

class DecoderTest : public ::testing::Test {
 protected:
  void Use(const std::string& text, std::vector<ChannelBus> channels = {}) {
    definitions_ = Load(text);
    decoder_ = Decoder::Create(definitions_, channels);
  }
  std::vector<std::string> Decode(const Frame& frame) {
    std::vector<Value> values;
    last_ = decoder_->Decode(frame, values);
    return Show(*definitions_, values);
  }

  std::shared_ptr<const Definitions> definitions_;
  std::unique_ptr<Decoder> decoder_;
  int last_ = -2;
};

TEST_F(DecoderTest, ScaleOffsetSignAndStates) {
  Use(R"(
byte order: big
frames:
  f:
    id: 0x2A1
    signals:
      volts: {where: bytes 0-1, scale: 0.1, unit: V}
      amps: {where: bytes 2-3, signed: yes, scale: 0.1, unit: A}
      temp: {where: "byte 5 bits 4-7, byte 6", scale: 0.1, offset: -40}
      pump: {where: byte 4 bits 0-2, states: {0: idle, 2: high}}
)");
  EXPECT_THAT(Decode(MakeFrame(0x2A1, {0x0F, 0xA0, 0xFF, 0x9C, 0x0A, 0x21, 0x90})),
              ElementsAre("volts=400", "amps=-10", "temp=25.6", "pump=2"));
  EXPECT_EQ(definitions_->signals[3].StateOf(2), "high");
  EXPECT_EQ(definitions_->signals[3].StateOf(1), "");
}

TEST_F(DecoderTest, AbsentPatternsAreRawAndGiveNoNumber) {
  Use("frames: {f: {id: 1, signals: {t: {where: byte 0, signed: yes, scale: 2, "
      "absent: [0xFF, -128]}}}}");
  EXPECT_THAT(Decode(MakeFrame(1, {0xFF})), ElementsAre("t?"));
  EXPECT_THAT(Decode(MakeFrame(1, {0x80})), ElementsAre("t?"));
  EXPECT_THAT(Decode(MakeFrame(1, {0xFE})), ElementsAre("t=-4"));
  std::vector<Value> values;
  decoder_->Decode(MakeFrame(1, {0x80}), values);
  EXPECT_TRUE(std::isnan(values[0].number));
  EXPECT_EQ(values[0].raw, -128);
}

TEST_F(DecoderTest, RangeLimitsBelongToTheRange) {
  Use("frames: {f: {id: 1, signals: {t: {where: byte 0, range: 10..20}}}}");
  EXPECT_THAT(Decode(MakeFrame(1, {9})), ElementsAre("t=9!"));
  EXPECT_THAT(Decode(MakeFrame(1, {10})), ElementsAre("t=10"));
  EXPECT_THAT(Decode(MakeFrame(1, {20})), ElementsAre("t=20"));
  EXPECT_THAT(Decode(MakeFrame(1, {21})), ElementsAre("t=21!"));
}

TEST_F(DecoderTest, RawIsExactBeyondWhatADoubleHolds) {
  Use("frames: {f: {id: 1, signals: {x: {where: bytes 0-7 big}}}}");
  std::vector<Value> values;
  decoder_->Decode(MakeFrame(1, {0x7F, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF}), values);
  decoder_->Decode(MakeFrame(1, {0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFE}), values);
  EXPECT_EQ(values[0].raw, 0x7FFFFFFFFFFFFFFF);
  EXPECT_EQ(static_cast<std::uint64_t>(values[1].raw), 0xFFFFFFFFFFFFFFFEU);
  EXPECT_EQ(values[1].number, 18446744073709551615.0) << "unsigned, although the top bit is set";
}

TEST_F(DecoderTest, ShortFrameYieldsWhatFits) {
  Use("frames: {f: {id: 1, length: 3, signals: {a: {where: byte 0}, b: {where: bytes 1-2 big}}}}");
  EXPECT_THAT(Decode(MakeFrame(1, {7, 8})), ElementsAre("a=7"));
  EXPECT_THAT(Decode(MakeFrame(1, {})), IsEmpty());
  EXPECT_THAT(Decode(MakeFrame(1, {7, 1, 0, 9})), ElementsAre("a=7", "b=256"));
  EXPECT_EQ(decoder_->faults()[0].wrong_length, 3U);
  EXPECT_EQ(decoder_->faults()[0].frames, 3U);
}

TEST_F(DecoderTest, LastBytesOfTheLongestFrame) {
  Use("frames: {f: {id: 1, signals: {a: {where: bytes 62-63 little}, "
      "b: {where: byte 63 bit 7, may overlap: yes}}}}");
  std::vector<std::uint8_t> data(64);
  data[62] = 0x34;
  data[63] = 0x92;
  EXPECT_THAT(Decode(MakeFrame(1, data)), ElementsAre("a=37428", "b=1"));
  data.pop_back();
  EXPECT_THAT(Decode(MakeFrame(1, data)), IsEmpty());
}

// --- finding frames ---

TEST_F(DecoderTest, RemoteAndErrorFramesAreNeverDescribed) {
  Use("frames: {f: {id: 1, signals: {a: {where: byte 0}}}}");
  Frame frame = MakeFrame(1, {7});
  frame.flags = kRemote;
  EXPECT_THAT(Decode(frame), IsEmpty());
  EXPECT_EQ(last_, -1);
  frame.flags = kErrorMessage;
  EXPECT_THAT(Decode(frame), IsEmpty());
  frame.flags = kSentHere;
  EXPECT_THAT(Decode(frame), ElementsAre("a=7"));
}

TEST_F(DecoderTest, BaseAndExtendedIdentifiersDiffer) {
  Use("frames: {f: {id: 0x123, signals: {a: {where: byte 0}}}, "
      "g: {id: 0x123, extended: yes, signals: {b: {where: byte 0}}}}");
  EXPECT_THAT(Decode(MakeFrame(0x123, {7})), ElementsAre("a=7"));
  Frame frame = MakeFrame(0x123, {7});
  frame.flags = kExtendedId;
  EXPECT_THAT(Decode(frame), ElementsAre("b=7"));
  frame.id = 0x124;
  EXPECT_THAT(Decode(frame), IsEmpty());
}

TEST_F(DecoderTest, ManyExtendedIdentifiersAreAllFound) {
  std::string text = "frames:\n";
  for (int i = 0; i < 500; ++i) {
    const std::string n = std::to_string(i);
    text += "  f" + n + ": {id: " + std::to_string(0x18000000 + i * 256) +
            ", extended: yes, signals: {s" + n + ": {where: byte 0}}}\n";
  }
  Use(text);
  for (int i = 0; i < 500; ++i) {
    const StreamKey key{0, static_cast<std::uint32_t>(0x18000000 + i * 256), kExtendedId, 1, 0};
    EXPECT_EQ(decoder_->FindFrame(key), i);
  }
}

const char* kTwoBuses = R"(
buses: {pack: {}, drive: {}}
frames:
  p: {bus: pack, id: 0x100, signals: {p_a: {where: byte 0}}}
  d: {bus: drive, id: 0x100, signals: {d_a: {where: byte 0}}}
  any: {id: 0x200, signals: {x: {where: byte 0}}}
)";

TEST_F(DecoderTest, ChannelsAreMatchedByBus) {
  Use(kTwoBuses, {{0, "pack"}, {1, "drive"}, {2, "body"}, {3, ""}});
  Frame frame = MakeFrame(0x100, {7});
  EXPECT_THAT(Decode(frame), ElementsAre("p_a=7"));
  frame.channel = 1;
  EXPECT_THAT(Decode(frame), ElementsAre("d_a=7"));
  frame.channel = 2;
  EXPECT_THAT(Decode(frame), IsEmpty()) << "a bus the definitions do not know";
  frame.channel = 3;
  EXPECT_THAT(Decode(frame), ElementsAre("p_a=7")) << "not stated: the first that matches";
  frame.channel = 9;
  EXPECT_THAT(Decode(frame), ElementsAre("p_a=7")) << "not listed: as not stated";
  frame.channel = 2;
  frame.id = 0x200;
  EXPECT_THAT(Decode(frame), ElementsAre("x=7")) << "a frame of any bus";
}

// --- pages ---

const char* kPaged = R"(
byte order: big
frames:
  cells:
    id: 0x3B4
    page: {where: byte 0}
    signals: {always: {where: byte 7}}
    series: {cell: {first: byte 1, each: 2 bytes, per page: 3, count: 8, absent: 0xFFFF}}
    pages: {200: {signals: {balance: {where: byte 1 bit 0}}}}
)";

TEST_F(DecoderTest, PagesSelectElements) {
  Use(kPaged);
  EXPECT_THAT(Decode(MakeFrame(0x3B4, {0, 0, 1, 0, 2, 0, 3, 9})),
              ElementsAre("always=9", "cell[1]=1", "cell[2]=2", "cell[3]=3"));
  EXPECT_THAT(Decode(MakeFrame(0x3B4, {1, 0, 4, 255, 255, 0, 6, 9})),
              ElementsAre("always=9", "cell[4]=4", "cell[5]?", "cell[6]=6"));
}

TEST_F(DecoderTest, LastPageMayBePartlyFilled) {
  Use(kPaged);
  EXPECT_THAT(Decode(MakeFrame(0x3B4, {2, 0, 7, 0, 8, 0, 9, 9})),
              ElementsAre("always=9", "cell[7]=7", "cell[8]=8"));
}

TEST_F(DecoderTest, PagesBeyondTheSeriesAreIgnored) {
  Use(kPaged);
  EXPECT_THAT(Decode(MakeFrame(0x3B4, {3, 0, 7, 0, 8, 0, 9, 9})), ElementsAre("always=9"));
  EXPECT_THAT(Decode(MakeFrame(0x3B4, {200, 1, 7, 0, 8, 0, 9, 9})),
              ElementsAre("always=9", "balance=1"));
}

TEST_F(DecoderTest, PagesMayStartAtAnotherNumber) {
  Use("frames: {f: {id: 1, page: {where: byte 0}, "
      "series: {c: {first: byte 1, each: 1 byte, per page: 2, count: 4, first page: 1}}}}");
  EXPECT_THAT(Decode(MakeFrame(1, {0, 5, 6})), IsEmpty());
  EXPECT_THAT(Decode(MakeFrame(1, {1, 5, 6})), ElementsAre("c[1]=5", "c[2]=6"));
  EXPECT_THAT(Decode(MakeFrame(1, {2, 5, 6})), ElementsAre("c[3]=5", "c[4]=6"));
  EXPECT_THAT(Decode(MakeFrame(1, {3, 5, 6})), IsEmpty());
}

TEST_F(DecoderTest, LargePageNumbersDoNotOverflow) {
  Use("frames: {f: {id: 1, page: {where: bytes 0-3 big}, "
      "series: {c: {first: byte 4, each: 1 byte, per page: 4, count: 8}}}}");
  EXPECT_THAT(Decode(MakeFrame(1, {0x80, 0, 0, 0, 1, 2, 3, 4})), IsEmpty());
  EXPECT_THAT(Decode(MakeFrame(1, {0xFF, 0xFF, 0xFF, 0xFF, 1, 2, 3, 4})), IsEmpty());
}

TEST_F(DecoderTest, WholeSeriesInOneFrame) {
  Use("frames: {f: {id: 1, series: {t: {first: byte 0, each: 12 bits little, count: 2}}}}");
  EXPECT_THAT(Decode(MakeFrame(1, {0x21, 0x43, 0x65})), ElementsAre("t[1]=801", "t[2]=1620"));
}

TEST_F(DecoderTest, PagesWithinPages) {
  Use(R"(
frames:
  f:
    id: 1
    page: {where: byte 0}
    pages:
      3:
        signals: {on_every_3: {where: byte 2}}
        page: {where: byte 1 bits 0-3}
        pages:
          0: {signals: {a: {where: byte 3}}}
          1: {signals: {b: {where: byte 3}}}
      4: {signals: {c: {where: byte 3}}}
)");
  EXPECT_THAT(Decode(MakeFrame(1, {3, 0, 8, 9})), ElementsAre("on_every_3=8", "a=9"));
  EXPECT_THAT(Decode(MakeFrame(1, {3, 1, 8, 9})), ElementsAre("on_every_3=8", "b=9"));
  EXPECT_THAT(Decode(MakeFrame(1, {3, 2, 8, 9})), ElementsAre("on_every_3=8"));
  EXPECT_THAT(Decode(MakeFrame(1, {4, 1, 8, 9})), ElementsAre("c=9"));
  EXPECT_THAT(Decode(MakeFrame(1, {3})), IsEmpty());
}

// --- masks ---

TEST_F(DecoderTest, MaskStandsForManyIdentifiers) {
  Use(R"(
frames:
  many: {id: 0x120, mask: 0x7F0, signals: {m: {where: byte 0}}}
  one: {id: 0x123, signals: {o: {where: byte 0}}}
  long_ones: {id: 0x18DA0000, mask: 0x1FFF0000, extended: yes, signals: {l: {where: byte 0}}}
)");
  EXPECT_THAT(Decode(MakeFrame(0x12F, {7})), ElementsAre("m=7"));
  EXPECT_THAT(Decode(MakeFrame(0x123, {7})), ElementsAre("o=7")) << "the exact one goes first";
  EXPECT_THAT(Decode(MakeFrame(0x130, {7})), IsEmpty());
  Frame frame = MakeFrame(0x18DAF110, {7});
  EXPECT_THAT(Decode(frame), IsEmpty());
  frame.flags = kExtendedId;
  EXPECT_THAT(Decode(frame), ElementsAre("l=7"));
}

TEST_F(DecoderTest, CountersOfAMaskCountByIdentifier) {
  Use("frames: {f: {id: 0x120, mask: 0x7F0, counter: {where: byte 0}}}");
  for (const int counter : {5, 6, 7}) {
    Decode(MakeFrame(0x121, {static_cast<std::uint8_t>(counter)}));
    Decode(MakeFrame(0x122, {static_cast<std::uint8_t>(counter + 100)}));
  }
  EXPECT_EQ(decoder_->faults()[0].counter_faults, 0U);
}

// --- moved to ---

TEST_F(DecoderTest, MovedFrameIsReadAtBothIdentifiers) {
  Use(R"(
frames:
  supply: {id: 0x240, moved to: 0x241, signals: {s: {where: byte 0}}}
  flow: {id: 0x18FF2103, moved to: 0x18FF2104, extended: yes, signals: {f: {where: byte 0}}}
)");
  EXPECT_THAT(Decode(MakeFrame(0x240, {7})), ElementsAre("s=7"));
  EXPECT_THAT(Decode(MakeFrame(0x241, {8})), ElementsAre("s=8"));
  EXPECT_THAT(Decode(MakeFrame(0x242, {8})), IsEmpty());
  for (const std::uint32_t id : {0x18FF2103U, 0x18FF2104U}) {
    Frame frame = MakeFrame(id, {9});
    frame.flags = kExtendedId;
    EXPECT_THAT(Decode(frame), ElementsAre("f=9"));
  }
}

// --- valid when ---

const char* kGated = R"(
frames:
  key: {id: 1, every: 100 ms, signals: {ignition: {where: byte 0, states: {0: idle, 1: run}}}}
  f:
    id: 2
    signals:
      enabled: {where: byte 0}
      torque: {where: byte 1, valid when: ignition == run and enabled == 1}
)";

TEST_F(DecoderTest, ValidWhenMakesValuesAbsent) {
  Use(kGated);
  EXPECT_THAT(Decode(MakeFrame(2, {1, 50})), ElementsAre("enabled=1", "torque?")) << "not known";
  Decode(MakeFrame(1, {1}));
  EXPECT_THAT(Decode(MakeFrame(2, {1, 50})), ElementsAre("enabled=1", "torque=50"));
  EXPECT_THAT(Decode(MakeFrame(2, {0, 50})), ElementsAre("enabled=0", "torque?"));
  Decode(MakeFrame(1, {0}));
  EXPECT_THAT(Decode(MakeFrame(2, {1, 50})), ElementsAre("enabled=1", "torque?"));
}

TEST_F(DecoderTest, ValidWhenIsOverWhenItsInputsAreStale) {
  Use(kGated);
  Decode(MakeFrame(1, {1}, std::chrono::milliseconds(0)));
  EXPECT_THAT(Decode(MakeFrame(2, {1, 50}, std::chrono::milliseconds(300))),
              ElementsAre("enabled=1", "torque=50"));
  EXPECT_THAT(Decode(MakeFrame(2, {1, 50}, std::chrono::milliseconds(301))),
              ElementsAre("enabled=1", "torque?"));
}

// --- counters and checksums ---

const char* kProtected = R"(
frames:
  f:
    id: 0x10
    length: 8
    signals: {a: {where: byte 0}}
    counter: {where: byte 6 bits 0-3, counts to: 14}
    checksum: {where: byte 7, kind: crc-8-sae-j1850, over: bytes 0-6}
)";

// A frame with a right checksum: the row published for SAE J1850 with 6C at its end.
TEST_F(DecoderTest, ChecksumOfAPublishedFrame) {
  Use(kProtected);
  EXPECT_THAT(Decode(MakeFrame(0x10, {0x00, 0xC0, 0xDF, 0xAC, 0xAA, 0x07, 0x40, 0x6C})),
              ElementsAre("a=0"));
  EXPECT_EQ(decoder_->faults()[0].checksum_faults, 0U);
}

TEST_F(DecoderTest, WrongChecksumYieldsNoValuesAndIsCounted) {
  Use(kProtected);
  EXPECT_THAT(Decode(MakeFrame(0x10, {0x01, 0xC0, 0xDF, 0xAC, 0xAA, 0x07, 0x40, 0x6C})), IsEmpty());
  EXPECT_EQ(last_, 0);
  EXPECT_EQ(decoder_->faults()[0].checksum_faults, 1U);
  EXPECT_EQ(decoder_->faults()[0].counter_faults, 0U);
}

TEST_F(DecoderTest, FrameTooShortForItsChecksumIsAChecksumFault) {
  Use(kProtected);
  EXPECT_THAT(Decode(MakeFrame(0x10, {0x00, 0xC0})), IsEmpty());
  EXPECT_EQ(decoder_->faults()[0].checksum_faults, 1U);
  EXPECT_EQ(decoder_->faults()[0].wrong_length, 1U);
}

TEST_F(DecoderTest, ChecksumInTheMiddleIsLeftOut) {
  Use("frames: {f: {id: 1, length: 4, signals: {a: {where: byte 0}}, "
      "checksum: {where: byte 1, kind: xor}}}");
  EXPECT_THAT(Decode(MakeFrame(1, {0x11, 0x11 ^ 0x22 ^ 0x44, 0x22, 0x44})), ElementsAre("a=17"));
  EXPECT_THAT(Decode(MakeFrame(1, {0x11, 0x00, 0x22, 0x44})), IsEmpty());
}

class CounterTest : public DecoderTest {
 protected:
  void SetUp() override {
    Use("frames: {f: {id: 1, signals: {a: {where: byte 0}}, "
        "counter: {where: byte 1 bits 0-3, counts to: 14}}}");
  }
  // Faults after frames with these counters.
  std::uint64_t Faults(std::initializer_list<int> counters, std::uint8_t channel = 0) {
    for (const int counter : counters) {
      Frame frame = MakeFrame(1, {7, static_cast<std::uint8_t>(counter)});
      frame.channel = channel;
      EXPECT_THAT(Decode(frame), ElementsAre("a=7")) << "values are used in any case";
    }
    return decoder_->faults()[0].counter_faults;
  }
};

// AUTOSAR E2E profile 1 counts 0 to 14; 15 is never sent.
TEST_F(CounterTest, CountsUpAndStartsAgain) { EXPECT_EQ(Faults({12, 13, 14, 0, 1}), 0U); }
TEST_F(CounterTest, MissingFrameIsOneFault) { EXPECT_EQ(Faults({3, 5, 6}), 1U); }
TEST_F(CounterTest, RepeatedFrameIsAFault) { EXPECT_EQ(Faults({5, 5}), 1U); }
TEST_F(CounterTest, ValueBeyondTheLastIsAFault) { EXPECT_EQ(Faults({14, 15}), 1U); }
TEST_F(CounterTest, AnyFirstValueIsFine) { EXPECT_EQ(Faults({9}), 0U); }
TEST_F(CounterTest, ChannelsCountOnTheirOwn) {
  EXPECT_EQ(Faults({1, 2}, 0), 0U);
  EXPECT_EQ(Faults({7, 8}, 1), 0U);
  EXPECT_EQ(Faults({3}, 0), 0U);
}

TEST(ValidityNames, AreWords) {
  EXPECT_EQ(ValidityName(Validity::kValid), "valid");
  EXPECT_EQ(ValidityName(Validity::kAbsent), "absent");
  EXPECT_EQ(ValidityName(Validity::kOutOfRange), "out of range");
}

}  // namespace
}  // namespace proofdrive::decoders
