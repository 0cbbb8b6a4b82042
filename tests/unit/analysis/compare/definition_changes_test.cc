#include "analysis/compare/definition_changes.h"

#include <gtest/gtest.h>

#include "analysis/compare/control_units.h"
#include "analysis/compare/traffic.h"

namespace proofdrive::analysis {
namespace {

using Masks = std::vector<std::uint8_t>;

// A session with the frame `status` (identifier 240), a signal of numbers and one of states.
class Pair {
 public:
  Pair() {
    definitions_ = std::make_shared<decoders::Definitions>();
    decoders::FrameDefinition& frame = definitions_->frames.emplace_back();
    frame.name = "status";
    frame.id = 0x240;
    frame.signals = {0, 1};
    definitions_->signals.resize(2);
    definitions_->signals[0].name = "voltage";
    definitions_->signals[0].unit = "V";
    definitions_->signals[0].range = decoders::Range{0, 100};
    definitions_->signals[1].name = "mode";
    definitions_->signals[1].states = {{0, 0, "off"}, {1, 1, "on"}};
    for (SessionFindings* one : {&before, &after}) {
      one->definitions = definitions_;
      one->length = std::chrono::seconds(100);
      one->header.channels.resize(1);
      one->header.channels[0].bus = "body";
      one->faults.resize(1);
      one->signals.resize(2);
      for (SignalRecord& record : one->signals) record.values = 1000;
      AddStream(*one, 0x240, "status", {0xFF, 0x0F});
    }
  }

  static StreamTraffic& AddStream(SessionFindings& session, std::uint32_t id, const char* frame,
                                  const Masks& changed) {
    StreamTraffic& stream = session.traffic.emplace_back();
    stream.id = id;
    stream.frame = frame;
    stream.frames = 1000;
    stream.median_period = std::chrono::milliseconds(100);
    stream.lengths = {{8, 1000}};
    stream.changed = changed;
    return stream;
  }

  std::vector<DefinitionChange> Compare() const {
    return CompareDefinitions(before, after, CompareTraffic(before, after));
  }

  SessionFindings before, after;

 private:
  std::shared_ptr<decoders::Definitions> definitions_;
};

TEST(CompareDefinitions, NothingChanged) { EXPECT_TRUE(Pair().Compare().empty()); }

TEST(CompareDefinitions, AFrameThatMovedIsLookedForAmongTheNewIdentifiers) {
  Pair pair;
  pair.after.traffic.clear();
  Pair::AddStream(pair.after, 0x241, "", {0xFF, 0x07});       // 11 of 12 bits
  Pair::AddStream(pair.after, 0x242, "", {0x0F, 0x00});       // 4 of 12
  Pair::AddStream(pair.after, 0x243, "other", {0xFF, 0x0F});  // described
  Pair::AddStream(pair.after, 0x244, "", {0xFF, 0x0F}).lengths = {{6, 1000}};
  Pair::AddStream(pair.after, 0x245, "", {0xFF, 0x0F}).median_period = std::chrono::seconds(1);
  const auto changes = pair.Compare();
  ASSERT_EQ(changes.size(), 1U);
  EXPECT_EQ(changes[0].what, "never seen");
  EXPECT_EQ(changes[0].frame, "status");
  ASSERT_EQ(changes[0].places.size(), 1U);
  EXPECT_EQ(changes[0].places[0].stream.id, 0x241U);
  EXPECT_NEAR(changes[0].places[0].likeness, 11.0 / 12, 1e-9);
}

TEST(MovedAdvice, SaysWhatToWrite) {
  decoders::Definitions definitions;
  decoders::FrameDefinition& frame = definitions.frames.emplace_back();
  frame.name = "status";
  frame.bus = "body";
  DefinitionChange change;
  change.frame = "status";
  EXPECT_EQ(MovedAdvice(change, definitions), "");
  change.places = {{{"body", 0x241, 0, ""}, 1, PlaceFit::kFits, ""}};
  EXPECT_EQ(MovedAdvice(change, definitions), "add \"moved to: 0x241\" to frame status");
  change.places[0].stream.bus = "drive";
  EXPECT_EQ(MovedAdvice(change, definitions), "describe 241 on drive as a frame of its own");
  change.places[0].fit = PlaceFit::kDoesNotFit;
  EXPECT_EQ(MovedAdvice(change, definitions), "");
}

TEST(CompareDefinitions, AFrameThatVanishedHasNoLikelyPlace) {
  Pair pair;
  pair.after.traffic.clear();
  const auto changes = pair.Compare();
  ASSERT_EQ(changes.size(), 1U);
  EXPECT_TRUE(changes[0].places.empty());
}

TEST(CompareDefinitions, WhatFailsInMostFramesAfterAndNotBefore) {
  Pair pair;
  pair.before.faults[0].checksum_faults = 3;
  pair.after.faults[0].checksum_faults = 900;
  pair.after.faults[0].counter_faults = 90;  // of the 100 that are left
  pair.after.signals[0].out_of_range = 600;
  pair.after.signals[1].unnamed = 40;
  const auto changes = pair.Compare();
  ASSERT_EQ(changes.size(), 4U);
  EXPECT_EQ(changes[0].what, "checksum fails");
  EXPECT_EQ(changes[0].before, "in 3 of 1,000 frames");
  EXPECT_EQ(changes[0].after, "in 900 of 1,000 frames");
  EXPECT_EQ(changes[1].what, "counter fails");
  EXPECT_EQ(changes[2].what, "out of range");
  EXPECT_EQ(changes[2].signal, "voltage");
  EXPECT_EQ(changes[3].what, "unknown states");
  EXPECT_EQ(changes[3].signal, "mode");
}

TEST(CompareDefinitions, WhatFailedBeforeIsNoChange) {
  Pair pair;
  pair.before.faults[0].checksum_faults = pair.after.faults[0].checksum_faults = 900;
  pair.before.signals[1].unnamed = pair.after.signals[1].unnamed = 500;
  EXPECT_TRUE(pair.Compare().empty());
}

TEST(CompareDefinitions, AbsentThroughoutAfterOnly) {
  Pair pair;
  pair.after.signals[0].absent = 1000;
  const auto changes = pair.Compare();
  ASSERT_EQ(changes.size(), 1U);
  EXPECT_EQ(changes[0].what, "always absent");
}

decoders::UnitReport Report(const char* version) {
  decoders::UnitReport report;
  report.answer = {0x7E8, false};
  report.name = "pack_unit";
  const std::string text(version);
  if (!text.empty()) report.identification[0xF195] = {text.begin(), text.end()};
  report.identification[0xF186] = {text.empty() ? std::uint8_t{1} : std::uint8_t{3}};
  return report;
}

TEST(CompareUnits, VersionsOnBothSides) {
  Pair pair;
  pair.before.asked.units = {Report("1.4")};
  pair.after.asked.units = {Report("1.5")};
  const auto units = CompareUnits(pair.before, pair.after);
  ASSERT_EQ(units.size(), 1U);
  EXPECT_EQ(units[0].unit, "pack_unit");
  EXPECT_EQ(units[0].bus, "body");
  ASSERT_EQ(units[0].installed.size(), 1U) << "the active session says nothing of the unit";
  EXPECT_TRUE(units[0].Changed());
}

TEST(CompareUnits, OneSideAloneIsNoChangeAndNotTheSame) {
  Pair pair;
  pair.before.asked.units = {Report("1.4")};
  pair.after.asked.units = {Report("")};
  auto units = CompareUnits(pair.before, pair.after);
  EXPECT_FALSE(units[0].Changed());
  EXPECT_FALSE(units[0].Comparable());
  pair.after.asked.units.clear();
  units = CompareUnits(pair.before, pair.after);
  EXPECT_TRUE(units[0].answered_before);
  EXPECT_FALSE(units[0].answered_after);
}

}  // namespace
}  // namespace proofdrive::analysis
