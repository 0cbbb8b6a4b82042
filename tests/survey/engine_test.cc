// The engine on frames made by hand, and on the bench vehicle.
#include <gmock/gmock.h>

#include <random>

#include "analysis/survey/meaning/answers.h"
#include "analysis/survey/survey.h"
#include "decoders/language/where_parser.h"
#include "decoders/model/checksums.h"
#include "tests/survey/repack.h"
#include "tests/survey/score.h"

namespace proofdrive::analysis::survey {
namespace {

using decoders::FormatLocation;
using ::testing::IsEmpty;

using Payload = std::vector<std::uint8_t>;

template <class Fill>
Identifier Make(std::uint32_t id, std::size_t length, std::size_t frames, const Fill& fill) {
  Identifier identifier;
  identifier.id = id;
  identifier.rows.stride = length;
  for (std::size_t i = 0; i < frames; ++i) {
    Payload payload(length, 0);
    fill(i, payload);
    identifier.rows.Add(payload, 0.01 * static_cast<double>(i));
  }
  return identifier;
}

// A number that wanders about by little steps.
class Wanderer {
 public:
  explicit Wanderer(unsigned seed, int start = 20000) : dice_(seed), value_(start) {}
  int Next() {
    value_ += static_cast<int>(dice_() % 301) - 150;
    return value_;
  }

 private:
  std::minstd_rand dice_;
  int value_;
};

TEST(SurveyEngine, SaysHowLittleThereIs) {
  const auto rise = [](std::size_t i, Payload& payload) {
    payload[0] = static_cast<std::uint8_t>(i);
  };
  EXPECT_EQ(Survey({Make(1, 8, 12, rise)}).front().notice, "too little: 12 frames");
  EXPECT_EQ(Survey({Make(1, 8, 1, rise)}).front().notice, "too little: 1 frame");
  const auto once = [](std::size_t i, Payload& payload) { payload[0] = i < 40 ? 1 : 2; };
  const auto found = Survey({Make(1, 8, 100, once)});
  EXPECT_EQ(found.front().notice, "too little: 1 change");
  EXPECT_THAT(found.front().fields, IsEmpty());
  EXPECT_THAT(Survey({}), IsEmpty());
  EXPECT_THAT(Survey({Make(1, 0, 50, [](std::size_t, Payload&) {})}).front().fields, IsEmpty());
}

TEST(SurveyEngine, FindsANumberInEitherByteOrder) {
  for (const bool big : {true, false}) {
    Wanderer speed(3);
    const auto found = Survey({Make(0x100, 8, 2000, [&](std::size_t, Payload& payload) {
      const int value = speed.Next();
      payload[big ? 2 : 3] = static_cast<std::uint8_t>(value >> 8);
      payload[big ? 3 : 2] = static_cast<std::uint8_t>(value);
    })});
    ASSERT_EQ(found.front().fields.size(), 1U);
    const Field& field = found.front().fields.front();
    EXPECT_EQ(FormatLocation(field.location), big ? "byte 2, byte 3" : "byte 3, byte 2");
    EXPECT_EQ(field.order, big ? ByteOrder::kBig : ByteOrder::kLittle);
  }
}

TEST(SurveyEngine, SeesASignOnlyWhenTheNumberGoesThroughZero) {
  const auto sign_of = [](int start) {
    Wanderer torque(5, start);
    const auto found = Survey({Make(0x100, 4, 3000, [&](std::size_t, Payload& payload) {
      const int value = torque.Next();
      payload[0] = static_cast<std::uint8_t>(value >> 8);
      payload[1] = static_cast<std::uint8_t>(value);
    })});
    return found.front().fields.front().is_signed;
  };
  EXPECT_EQ(sign_of(0), true);
  EXPECT_NE(sign_of(20000), true);
  EXPECT_EQ(sign_of(32768), false);
}

TEST(SurveyEngine, CounterWithItsLastValue) {
  const auto found = Survey({Make(0x100, 8, 500, [](std::size_t i, Payload& payload) {
    payload[6] = static_cast<std::uint8_t>((i % 15) << 4);
  })});
  ASSERT_TRUE(found.front().counter.has_value());
  EXPECT_EQ(FormatLocation(found.front().counter->location), "byte 6 bits 4-7");
  EXPECT_EQ(found.front().counter->counts_to, 14U);
  EXPECT_THAT(found.front().fields, IsEmpty());
}

// A frame with a number, a counter and the check that `check` calculates from the first 7 bytes.
template <class Check>
FoundFrame WithCheck(const Check& check) {
  Wanderer value(7);
  return Survey({Make(0x2A1, 8, 1000,
                      [&](std::size_t i, Payload& payload) {
                        const int number = value.Next();
                        payload[0] = static_cast<std::uint8_t>(number >> 8);
                        payload[1] = static_cast<std::uint8_t>(number);
                        payload[6] = static_cast<std::uint8_t>(i % 16);
                        payload[7] = check(ByteSpan(payload).first(7));
                      })})
      .front();
}

TEST(SurveyEngine, SumOfIdentifierAndLength) {
  const FoundFrame found = WithCheck([](ByteSpan bytes) {
    unsigned sum = 0x2 + 0xA1 + 8;
    for (const std::uint8_t byte : bytes) sum += byte;
    return static_cast<std::uint8_t>(sum);
  });
  ASSERT_TRUE(found.checksum.has_value());
  EXPECT_EQ(found.checksum->models.front().kind, "sum-8");
  EXPECT_TRUE(found.checksum->models.front().id_and_length);
  EXPECT_TRUE(found.checksum->proved);
}

TEST(SurveyEngine, CrcOfAPublishedKind) {
  const decoders::Checksum* j1850 = decoders::FindChecksum("crc-8-sae-j1850");
  const FoundFrame found = WithCheck([&](ByteSpan bytes) {
    return static_cast<std::uint8_t>(j1850->function({bytes, 0, nullptr, nullptr}));
  });
  ASSERT_TRUE(found.checksum.has_value());
  ASSERT_EQ(found.checksum->models.size(), 1U);
  EXPECT_EQ(found.checksum->models.front().kind, "crc-8-sae-j1850");
  EXPECT_EQ(found.checksum->models.front().polynomial, 0x1DU);
  // The same kind in other words: start 0 and this as the final value.
  decoders::ChecksumSettings settings;
  settings.polynomial = 0x1D;
  settings.final_xor = static_cast<std::uint8_t>(found.checksum->models.front().constant);
  const auto table = decoders::MakeCrc8Table(0x1D);
  const Payload bytes = {1, 2, 3, 4, 5, 6, 7};
  EXPECT_EQ(decoders::FindChecksum("crc-8")->function({bytes, 0, &settings, &table}),
            j1850->function({bytes, 0, nullptr, nullptr}));
}

TEST(SurveyEngine, DataIdsOfProfile2) {
  const decoders::Checksum* profile2 = decoders::FindChecksum("e2e-profile-2");
  decoders::ChecksumSettings settings;
  for (unsigned i = 0; i < 16; ++i) {
    settings.data_ids.push_back(static_cast<std::uint16_t>((17 * i + 5) & 0xFFU));
  }
  Wanderer value(9);
  const FoundFrame found = Survey({Make(0x120, 8, 2000, [&](std::size_t i, Payload& payload) {
                             const int number = value.Next();
                             payload[1] = static_cast<std::uint8_t>(i % 16);
                             payload[4] = static_cast<std::uint8_t>(number >> 8);
                             payload[5] = static_cast<std::uint8_t>(number);
                             payload[0] = static_cast<std::uint8_t>(profile2->function(
                                 {ByteSpan(payload).subspan(1), payload[1], &settings, nullptr}));
                           })}).front();
  ASSERT_TRUE(found.checksum.has_value());
  const ChecksumModel& model = found.checksum->models.front();
  EXPECT_EQ(model.kind, "e2e-profile-2");
  EXPECT_THAT(model.by_counter, ::testing::ElementsAreArray(settings.data_ids));
}

TEST(SurveyEngine, DataIdOfProfile5) {
  const decoders::Checksum* profile5 = decoders::FindChecksum("e2e-profile-5");
  decoders::ChecksumSettings settings;
  settings.data_ids = {0x1234};
  Wanderer value(11);
  const FoundFrame found = Survey({Make(0x120, 8, 2000, [&](std::size_t i, Payload& payload) {
                             const int number = value.Next();
                             payload[2] = static_cast<std::uint8_t>(i);
                             payload[4] = static_cast<std::uint8_t>(number >> 8);
                             payload[5] = static_cast<std::uint8_t>(number);
                             const auto check = profile5->function(
                                 {ByteSpan(payload).subspan(2), payload[2], &settings, nullptr});
                             payload[0] = static_cast<std::uint8_t>(check);
                             payload[1] = static_cast<std::uint8_t>(check >> 8);
                           })}).front();
  ASSERT_TRUE(found.checksum.has_value());
  EXPECT_EQ(FormatLocation(found.checksum->location), "byte 1, byte 0");
  EXPECT_EQ(found.checksum->models.front().kind, "e2e-profile-5");
  EXPECT_EQ(found.checksum->models.front().constant, 0x1234U);
}

TEST(SurveyEngine, NoPagesWhereACounterSharesItsByteWithASign) {
  Wanderer torque(17, 0);
  const auto found = Survey({Make(0x104, 8, 3000, [&](std::size_t i, Payload& payload) {
    const int value = torque.Next() / 16;  // 12 bits beside the counter
    payload[4] = static_cast<std::uint8_t>((i % 16) << 4 | ((value >> 8) & 0xF));
    payload[5] = static_cast<std::uint8_t>(value);
  })});
  EXPECT_FALSE(found.front().selector.has_value());
  ASSERT_TRUE(found.front().counter.has_value());
  EXPECT_EQ(FormatLocation(found.front().counter->location), "byte 4 bits 4-7");
}

TEST(SurveyEngine, PagesOfAList) {
  std::minstd_rand dice(4);
  const auto found = Survey({Make(0x3B4, 8, 4000, [&](std::size_t i, Payload& payload) {
    const unsigned page = i % 9 == 8 ? 200 : static_cast<unsigned>(i % 9);
    const int value = 3600 + static_cast<int>(7 * page + dice() % 3);
    payload[0] = static_cast<std::uint8_t>(page);
    for (std::size_t k = 0; page < 200 && k < 3; ++k) {
      payload[2 + 2 * k] = static_cast<std::uint8_t>((value + static_cast<int>(40 * k)) >> 8);
      payload[3 + 2 * k] = static_cast<std::uint8_t>(value + static_cast<int>(40 * k));
    }
  })});
  ASSERT_TRUE(found.front().selector.has_value());
  EXPECT_EQ(FormatLocation(*found.front().selector), "byte 0");
  EXPECT_EQ(found.size(), 10U);
  EXPECT_EQ(found[1].page, 0U);
  EXPECT_EQ(found.back().page, 200U);
}

TEST(SurveyEngine, NoCheckInNoise) {
  std::minstd_rand dice(1);
  std::vector<Identifier> identifiers;
  for (std::uint32_t id = 0; id < 60; ++id) {
    identifiers.push_back(Make(id, 8, 300, [&](std::size_t, Payload& payload) {
      for (std::uint8_t& byte : payload) byte = static_cast<std::uint8_t>(dice() >> 7);
    }));
  }
  for (const FoundFrame& frame : Survey(identifiers)) {
    EXPECT_FALSE(frame.checksum.has_value());
    EXPECT_FALSE(frame.counter.has_value());
    EXPECT_FALSE(frame.selector.has_value());
  }
}

TEST(SurveyEngine, LongFramesOfCanFd) {
  Wanderer value(13);
  const auto found = Survey({Make(0x100, 64, 500, [&](std::size_t, Payload& payload) {
    const int number = value.Next();
    payload[50] = static_cast<std::uint8_t>(number >> 8);
    payload[51] = static_cast<std::uint8_t>(number);
  })});
  ASSERT_EQ(found.front().fields.size(), 1U);
  EXPECT_EQ(FormatLocation(found.front().fields.front().location), "byte 50, byte 51");
}

TEST(SurveyEngine, BenchDriveAboveTheBars) {
  const auto drive = survey_tests::BenchRecording("drive", 7, 180);
  const auto score = survey_tests::ScoreOf(drive, Survey(drive.identifiers));
  EXPECT_GE(score.F1(), 0.92);
  EXPECT_GE(score.MeanJaccard(), 0.93);
  EXPECT_EQ(score.counters_right, score.counters);
  EXPECT_EQ(score.checksums_right, score.checksums);
  EXPECT_EQ(score.selectors_right, score.selectors);
  EXPECT_EQ(score.counters_false + score.checksums_false + score.selectors_false, 0);
  EXPECT_EQ(score.called_signed_wrongly, 0);
}

TEST(SurveyMeaning, SpeedIsChangedByAcceleration) {
  const auto drive = survey_tests::BenchRecording("drive", 7, 300);
  const auto relations = FindRelations(TracksOf(drive.identifiers, Survey(drive.identifiers)), 40);
  const auto is = [](const FieldName& name, std::uint32_t id, const std::string& where) {
    return name.id == id && FormatLocation(name.location) == where;
  };
  const auto found = std::find_if(relations.begin(), relations.end(), [&](const Relation& one) {
    return one.kind == RelationKind::kDerivative && is(one.first, 0x0B9, "byte 0, byte 1") &&
           is(one.second, 0x0B9, "byte 2, byte 3");
  });
  ASSERT_NE(found, relations.end());
  // 0.01 km/h and 0.001 m/s2: 3.6 km/h each second for 1 m/s2.
  EXPECT_NEAR(found->factor, 0.36, 0.02);
}

TEST(SurveyMeaning, ReferencesNeedTimesInOrder) {
  EXPECT_FALSE(ParseReferences("").ok());
  EXPECT_FALSE(ParseReferences("time_s\n1\n").ok());
  EXPECT_FALSE(ParseReferences("time_s,v\n2,1\n1,1\n").ok());
  const auto gaps = ParseReferences("time_s,a,b\n1,5,\n2,,6\n");
  ASSERT_TRUE(gaps.ok());
  EXPECT_EQ((*gaps)[0].values, std::vector<double>{5});
  EXPECT_EQ((*gaps)[1].times, std::vector<double>{2});
}

TEST(SurveyMeaning, SensibleScales) {
  EXPECT_DOUBLE_EQ(NiceScales(0.0099, 0.00001).front(), 0.01);
  EXPECT_DOUBLE_EQ(NiceScales(0.0027504, 0.000003).front(), 0.01 / 3.6);
  EXPECT_TRUE(NiceScales(0.0335, 0.00001).empty());
  EXPECT_TRUE(NiceScales(0.01, 0.005).empty());
}

TEST(SurveyEngine, RepackedAboveTheBars) {
  const auto drive = survey_tests::BenchRecording("drive", 7, 180);
  for (const ByteOrder order : {ByteOrder::kBig, ByteOrder::kLittle}) {
    survey_tests::Score score;
    for (std::uint64_t seed = 1; seed <= 3; ++seed) {
      const auto repacked = survey_tests::Repack(drive, {order, 4, seed});
      score.Add(survey_tests::ScoreOf(repacked, Survey(repacked.identifiers)));
    }
    EXPECT_GE(score.F1(), 0.9);
    EXPECT_GE(score.order_right, 0.95 * score.multi_byte);
    EXPECT_EQ(score.called_signed_wrongly, 0);
  }
}

}  // namespace
}  // namespace proofdrive::analysis::survey
