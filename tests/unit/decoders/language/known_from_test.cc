// `known from`: the inner one counts, nothing said is a guess, and what is computed is no surer
// than what it is computed from.
#include "decoders/model/known_from.h"

#include <gtest/gtest.h>

#include "decoders/language/loader.h"
#include "tests/unit/decoders/test_definitions.h"

namespace proofdrive::decoders {
namespace {

using testing::Load;

KnownFrom Of(const Definitions& definitions, const std::string& signal) {
  return definitions.signals[definitions.FindSignal(signal).value()].known_from;
}

// `head` is at the top of the file.
std::shared_ptr<const Definitions> Car(const std::string& head) {
  return Load(head + R"yaml(
byte order: big
frames:
  plain:
    id: 1
    signals: {a: {where: byte 0}, b: {where: byte 1, known from: measurement}}
  said:
    id: 2
    known from: reading
    page: {where: byte 0}
    signals: {c: {where: byte 1}, d: {where: byte 2, known from: survey}}
    series: {cell: {first: byte 3, each: 1 byte, count: 2, known from: document}}
    pages: {7: {signals: {e: {where: byte 5}}}}
control units: {unit: {request: 0x7E5, answer: 0x7ED}}
readings:
  asked: {from: unit, identifier: 1, where: byte 0}
  known: {from: unit, identifier: 2, where: byte 0, known from: document}
computed:
  total: {formula: b + c}
  twice: {formula: total * 2, known from: survey}
  worst: {formula: twice + a}
warnings:
  one: {text: One, when: a == 1, severity: note}
  two: {text: Two, when: a == 2, severity: note, known from: reading}
)yaml");
}

TEST(KnownFrom, NothingSaidIsAGuess) {
  const auto car = Car("");
  EXPECT_EQ(Of(*car, "a"), KnownFrom::kGuess);
  EXPECT_EQ(Of(*car, "asked"), KnownFrom::kGuess);
  EXPECT_EQ(car->warnings[0].known_from, KnownFrom::kGuess);
  EXPECT_EQ(car->warnings[1].known_from, KnownFrom::kReading);
}

TEST(KnownFrom, TheInnerOneCounts) {
  const auto car = Car("known from: document");
  EXPECT_EQ(Of(*car, "a"), KnownFrom::kDocument);
  EXPECT_EQ(Of(*car, "b"), KnownFrom::kMeasurement);
  EXPECT_EQ(Of(*car, "c"), KnownFrom::kReading);
  EXPECT_EQ(Of(*car, "d"), KnownFrom::kSurvey);
  EXPECT_EQ(Of(*car, "e"), KnownFrom::kReading);
  EXPECT_EQ(Of(*car, "cell"), KnownFrom::kDocument);
  EXPECT_EQ(Of(*car, "asked"), KnownFrom::kDocument);
  EXPECT_EQ(Of(*Car("known from: survey"), "known"), KnownFrom::kDocument);
  EXPECT_EQ(car->warnings[0].known_from, KnownFrom::kDocument);
}

TEST(KnownFrom, WhatIsComputedIsNoSurerThanWhatItUses) {
  const auto car = Car("");
  EXPECT_EQ(Of(*car, "total"), KnownFrom::kReading);
  EXPECT_EQ(Of(*car, "twice"), KnownFrom::kSurvey);
  EXPECT_EQ(Of(*car, "worst"), KnownFrom::kGuess);
}

TEST(KnownFrom, CountsForItsOwnFile) {
  const std::vector<SourceText> sources = {
      {"a.yaml", "known from: document\nframes: {f: {id: 1, signals: {a: {where: byte 0}}}}\n"},
      {"b.yaml", "frames: {g: {id: 2, signals: {b: {where: byte 0}}}}\n"}};
  const LoadResult loaded = LoadDefinitions(sources);
  ASSERT_TRUE(loaded.ok());
  EXPECT_EQ(Of(*loaded.definitions, "a"), KnownFrom::kDocument);
  EXPECT_EQ(Of(*loaded.definitions, "b"), KnownFrom::kGuess);
}

TEST(KnownFrom, WordsAndOrder) {
  for (const char* word : {"guess", "survey", "reading", "measurement", "document"}) {
    EXPECT_EQ(KnownFromName(KnownFromOf(word).value()), word);
  }
  EXPECT_FALSE(KnownFromOf("manual"));
  EXPECT_TRUE(IsUnproven(KnownFrom::kSurvey));
  EXPECT_FALSE(IsUnproven(KnownFrom::kReading));
}

}  // namespace
}  // namespace proofdrive::decoders
