// The bench vehicle's control units, asked over its buses by a tester that is not the daemon's.
#include <gmock/gmock.h>

#include <map>

#include "bench/control_units/unit_node.h"
#include "bench/control_units/unit_server.h"
#include "bench/frames/buses.h"
#include "bench/scenarios/scenarios.h"
#include "bench/vehicle.h"
#include "decoders/services/unit_reports.h"
#include "tests/support/matchers.h"

namespace proofdrive::bench {
namespace {

using namespace std::chrono_literals;
using decoders::Conversation;
using decoders::ReportedCode;
using decoders::UnitReport;
using ::testing::Contains;
using ::testing::ElementsAre;
using ::testing::IsEmpty;

Frame Request(std::uint32_t id, std::uint8_t channel, const std::vector<std::uint8_t>& message) {
  Frame frame;
  frame.id = id;
  frame.channel = channel;
  frame.length = 8;
  frame.data[0] = static_cast<std::uint8_t>(message.size());
  std::copy(message.begin(), message.end(), frame.data.begin() + 1);
  return frame;
}

// Runs a scenario for some time, then asks.
class Tester {
 public:
  Tester(const std::string& scenario, Duration before) {
    VehicleOptions options;
    options.scenario = scenario;
    vehicle_ = Vehicle::Create(options).value();
    Wait(before);
  }
  void Wait(Duration time) {
    const Duration end = now_ + time;
    while (now_ < end) {
      std::vector<Frame> frames;
      now_ += 10ms;
      vehicle_->Run(now_, frames);
      for (const Frame& frame : frames) Hear(frame);
    }
  }
  // One request, then patience for `patience`.
  void Ask(std::uint32_t id, std::uint8_t channel, const std::vector<std::uint8_t>& message,
           Duration patience = 300ms) {
    vehicle_->Inject(Request(id, channel, message));
    Wait(patience);
  }
  std::map<std::string, UnitReport> Finish() {
    passive_.Finish();
    tracker_.Finish();
    std::map<std::string, UnitReport> units;
    for (const UnitReport& unit : reports_.units()) units[unit.name] = unit;
    return units;
  }
  const std::vector<Conversation>& conversations() const { return conversations_; }
  std::vector<std::string> silent() const { return reports_.silent(); }

 private:
  void Hear(const Frame& frame) {
    passive_.OnFrame(frame);
    const bool first = !frame.Is(kSentHere) && frame.id >= 0x7E8 && frame.data[0] >> 4 == 1;
    if (!first) return;
    Frame grant = Request(frame.id - 8, frame.channel, {});
    grant.data[0] = 0x30;
    vehicle_->Inject(grant);
  }
  static std::vector<decoders::NamedUnit> Names() {
    std::vector<decoders::NamedUnit> names;
    for (const UnitRow& row : UnitTable()) {
      names.push_back({std::string(row.name), {{row.request, false}, {row.answer, false}}});
    }
    return names;
  }

  std::unique_ptr<Vehicle> vehicle_;
  Duration now_{0};
  decoders::AddressBook book_;
  decoders::UnitReports reports_{book_, Names()};
  std::vector<Conversation> conversations_;
  decoders::ConversationTracker tracker_{book_, [this](const Conversation& conversation) {
                                           conversations_.push_back(conversation);
                                           reports_.Add(conversation);
                                         }};
  decoders::PassiveReassembler passive_{
      book_, [this](decoders::SeenMessage message) { tracker_.OnMessage(std::move(message)); }};
};

std::uint8_t StatusOf(const UnitReport& unit, std::uint16_t code, std::uint8_t type) {
  const auto found = unit.codes.find({code, type});
  return found == unit.codes.end() ? std::uint8_t{0} : found->second.status.value_or(0);
}

TEST(BenchUnitsTest, CodesFollowThePhysicalFaults) {
  Tester leaking("coolant-leak", 30s);
  leaking.Ask(0x7E5, kPackBus, {0x19, 0x02, 0xFF}, 3s);
  const UnitReport before = leaking.Finish().at("pack_controller");
  EXPECT_THAT(before.oddities, IsEmpty());
  EXPECT_EQ(StatusOf(before, 0x0AA6, 0x1A), 0xAF) << "isolation is low now";
  EXPECT_EQ(StatusOf(before, 0x0A9B, 0x13), 0x2F) << "a sensor is broken, no lamp";

  Tester repaired("repaired", 30s);
  repaired.Ask(0x7E5, kPackBus, {0x19, 0x02, 0xFF}, 3s);
  const UnitReport after = repaired.Finish().at("pack_controller");
  EXPECT_EQ(StatusOf(after, 0x0AA6, 0x1A), 0xAC) << "passed, but stored until cleared";
  EXPECT_EQ(StatusOf(after, 0xD135, 0x87) & 0x01, 0x01) << "the moisture sensor is not plugged in";

  Tester updated("updated", 30s);
  updated.Ask(0x7E5, kPackBus, {0x19, 0x02, 0xFF}, 3s);
  EXPECT_EQ(updated.Finish().at("pack_controller").faults(), 0u);
}

TEST(BenchUnitsTest, OneSaysTwiceThatTheAnswerComesLater) {
  Tester tester("coolant-leak", 10s);
  tester.Ask(0x7E5, kPackBus, {0x19, 0x02, 0xFF}, 3s);
  tester.Finish();
  ASSERT_EQ(tester.conversations().size(), 1u);
  EXPECT_TRUE(tester.conversations()[0].complete());
  EXPECT_EQ(tester.conversations()[0].answers.at(0).pending, 2u);
}

TEST(BenchUnitsTest, OneIsSlow) {
  Tester tester("coolant-leak", 10s);
  tester.Ask(0x7E1, kDriveBus, {0x3E, 0x00});
  tester.Ask(0x7E6, kDriveBus, {0x3E, 0x00});
  tester.Finish();
  const auto delay = [&](std::size_t i) {
    const Conversation& conversation = tester.conversations().at(i);
    return conversation.answers.at(0).message.begun - conversation.request.ended;
  };
  EXPECT_GT(delay(0), 40ms);
  EXPECT_LT(delay(0), 70ms);
  EXPECT_LT(delay(1), 30ms);
}

TEST(BenchUnitsTest, OneIsSilentAfterTheUpdate) {
  Tester before("repaired", 5s);
  before.Ask(0x7E6, kDriveBus, {0x22, 0xF1, 0x95});
  EXPECT_EQ(before.Finish().at("cluster").identification.at(0xF195),
            (std::vector<std::uint8_t>{'1', '.', '9'}));
  Tester after("updated", 5s);
  after.Ask(0x7E6, kDriveBus, {0x22, 0xF1, 0x95});
  after.Ask(0x7E5, kPackBus, {0x22, 0xF1, 0x95});
  const auto units = after.Finish();
  EXPECT_FALSE(units.contains("cluster"));
  EXPECT_THAT(after.silent(), ElementsAre("cluster"));
  EXPECT_EQ(units.at("pack_controller").identification.at(0xF195),
            (std::vector<std::uint8_t>{'4', '.', '3'}));
}

TEST(BenchUnitsTest, AFunctionalRequestIsAnsweredByAllOfABus) {
  Tester tester("coolant-leak", 40s);
  tester.Ask(0x7DF, kDriveBus, {0x03});
  tester.Ask(0x7DF, kDriveBus, {0x22, 0xD1, 0xA4});  // nobody on this bus has it
  const auto units = tester.Finish();
  EXPECT_EQ(units.size(), 2u);
  ASSERT_EQ(tester.conversations().size(), 2u);
  EXPECT_EQ(tester.conversations()[0].answers.size(), 2u);
  EXPECT_THAT(tester.conversations()[1].answers, IsEmpty()) << "silent instead of a refusal";
}

TEST(BenchUnitsTest, ClearingLeavesNotTested) {
  Tester tester("repaired", 30s);
  tester.Ask(0x7E5, kPackBus, {0x14, 0xFF, 0xFF, 0xFF});
  tester.Ask(0x7E5, kPackBus, {0x19, 0x02, 0xFF}, 3s);
  const UnitReport unit = tester.Finish().at("pack_controller");
  EXPECT_EQ(StatusOf(unit, 0x0AA1, 0x73), 0x50) << "not tested since codes were cleared";
  EXPECT_EQ(StatusOf(unit, 0x0AA6, 0x1A) & 0x2F, 0) << "no fault left";
}

class UnitServerTest : public ::testing::Test {
 protected:
  UnitServer::Bytes Ask(UnitServer::Bytes request, bool functional = false) {
    return server_.Answer(request, functional);
  }
  static UnitServer::Bytes Refused(std::uint8_t service, std::uint8_t code) {
    return {0x7F, service, code};
  }
  UnitServer server_{"pack_controller", *FindScenario("coolant-leak")};
};

TEST_F(UnitServerTest, SessionsAndPresence) {
  EXPECT_EQ(Ask({0x10, 0x03}), (UnitServer::Bytes{0x50, 0x03, 0x00, 0x32, 0x01, 0xF4}));
  EXPECT_EQ(Ask({0x22, 0xF1, 0x86}), (UnitServer::Bytes{0x62, 0xF1, 0x86, 0x03}));
  EXPECT_EQ(Ask({0x10, 0x02}), Refused(0x10, 0x12));
  EXPECT_EQ(Ask({0x3E, 0x00}), (UnitServer::Bytes{0x7E, 0x00}));
  EXPECT_THAT(Ask({0x3E, 0x80}), IsEmpty()) << "wants no answer";
  EXPECT_EQ(Ask({0x3E}), Refused(0x3E, 0x13));
}

TEST_F(UnitServerTest, RefusesWhatItDoesNotHave) {
  EXPECT_EQ(Ask({0x27, 0x01}), Refused(0x27, 0x11));
  EXPECT_EQ(Ask({0x2E, 0xF1, 0x90, 0x41}), Refused(0x2E, 0x11));
  EXPECT_EQ(Ask({0x19, 0x55}), Refused(0x19, 0x12));
  EXPECT_EQ(Ask({0x19, 0x02}), Refused(0x19, 0x13));
  EXPECT_EQ(Ask({0x19, 0x04, 0x12, 0x34, 0x56, 0xFF}), Refused(0x19, 0x31));
  EXPECT_EQ(Ask({0x22, 0xF1, 0x99}), Refused(0x22, 0x31));
  EXPECT_EQ(Ask({0x14, 0xFF, 0xFF}), Refused(0x14, 0x13));
  EXPECT_EQ(Ask({0x14, 0x12, 0x34, 0x56}), Refused(0x14, 0x31));
  EXPECT_THAT(Ask({0x27, 0x01}, true), IsEmpty());
  EXPECT_THAT(Ask({0x22, 0xF1, 0x99}, true), IsEmpty());
  EXPECT_EQ(Ask({0x19, 0x02}, true), Refused(0x19, 0x13)) << "this one is said";
}

TEST_F(UnitServerTest, CountsWhatItLists) {
  const auto count = decoders::ParseCodeCount(Ask({0x19, 0x01, 0x08}));
  const auto list = decoders::ParseCodeList(Ask({0x19, 0x02, 0x08}));
  ASSERT_OK(count);
  ASSERT_OK(list);
  EXPECT_EQ(count->count, list->codes.size());
  EXPECT_EQ(count->count, 3);
  EXPECT_EQ(decoders::ParseCodeList(Ask({0x19, 0x0A}))->codes.size(), 5u);
  const auto monitors = decoders::ParseMonitorStatus(Ask({0x01, 0x01}));
  ASSERT_OK(monitors);
  EXPECT_TRUE(monitors->lamp);
  EXPECT_EQ(monitors->stored, 3);
  EXPECT_EQ(decoders::ParseObdCodes(Ask({0x03}))->codes.size(), 3u);
}

TEST_F(UnitServerTest, ClearingIsAGoodAnswerEvenWithNothingStored) {
  EXPECT_EQ(Ask({0x14, 0xFF, 0xFF, 0xFF}), UnitServer::Bytes{0x54});
  EXPECT_EQ(Ask({0x14, 0xFF, 0xFF, 0xFF}), UnitServer::Bytes{0x54});
  EXPECT_EQ(decoders::ParseCodeList(Ask({0x19, 0x02, 0x2F}))->codes.size(), 0u);
}

TEST_F(UnitServerTest, ExtendedDataOfACode) {
  const auto record = decoders::ParseCodeRecord(Ask({0x19, 0x06, 0x0A, 0xA6, 0x1A, 0xFF}));
  ASSERT_OK(record);
  EXPECT_EQ(record->record, 1);
  EXPECT_THAT(record->data, ElementsAre(3, 2, 0)) << "three cycles with a failure, none clean";
}

}  // namespace
}  // namespace proofdrive::bench
