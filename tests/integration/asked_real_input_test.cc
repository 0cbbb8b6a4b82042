// Conversations of somebody's tester with real control units, found in a recording of them.
//
// The recording: ev-two-bus-events/README.md, source commit 83a5cac8 of 2025-01-17, which says: 636
// single frames and 2 first frames that nobody continued; only reading and session control. What is
// expected of single units was read from the rows by eye.
#include <gmock/gmock.h>

#include <map>

#include "tests/integration/real_input.h"

namespace proofdrive {
namespace {

using namespace proofdrive::testing;  // NOLINT: real_input.h
using Json = nlohmann::json;

class AskedRealInput : public ::testing::Test {
 protected:
  void SetUp() override {
    const auto folder = Dataset("ev-two-bus-events");
    if (!folder) GTEST_SKIP() << "the recordings of ev-two-bus-events are not here";
    csv_ = *folder + "/diagnostic-session-two-units.csv.gz";
    session_ = temporary_.File("tester.session");
    ImportRows(csv_, session_);
    const ToolRun run = RunProofdrive({"codes", session_, "--json"});
    code_ = run.code;
    document_ = Json::parse(run.out, nullptr, false);
    ASSERT_TRUE(document_.is_object()) << run.err;
  }
  Json Unit(const std::string& answer) const {
    for (const Json& unit : document_["units"]) {
      if (unit["answer"] == answer) return unit;
    }
    return nullptr;
  }

  TempDir temporary_;
  std::string csv_;
  std::string session_;
  int code_ = -1;
  Json document_;
};

TEST_F(AskedRealInput, EveryFrameHasItsPlace) {
  std::map<std::uint32_t, std::uint64_t> rows;
  for (const Frame& row : RowsOf(csv_)) ++rows[row.id];
  const Json& counts = document_["conversations"];
  EXPECT_EQ(counts["all"], rows[0x7DF] + rows[0x7E2] + rows[0x7E3] + rows[0x7E4]);
  EXPECT_EQ(counts["functional"], rows[0x7DF]);
  EXPECT_EQ(counts["unasked_answers"], 0);
  EXPECT_EQ(counts["doubtful"], 0);
  std::uint64_t answers = 0;
  std::uint64_t pending = 0;
  for (const Json& unit : document_["units"]) {
    for (const char* kind : {"positive", "refused", "broken"}) {
      answers += unit["answers"][kind].get<std::uint64_t>();
    }
  }
  for (const Frame& row : RowsOf(csv_)) pending += row.data[1] == 0x7F && row.data[3] == 0x78;
  EXPECT_EQ(answers + pending + counts["all"].get<std::uint64_t>(), RowsOf(csv_).size());
}

TEST_F(AskedRealInput, ConversationsCompleteAndAbandoned) {
  const Json& counts = document_["conversations"];
  EXPECT_EQ(counts["all"], 226);
  EXPECT_EQ(counts["complete"], 224);
  EXPECT_EQ(counts["unanswered"], 1) << "the recording ends 0 ms after the last request";
  EXPECT_EQ(counts["abandoned"], 1) << "two long answers that the tester did not fetch";
  EXPECT_EQ(counts["pending_resolved"], 1);
  EXPECT_EQ(counts["pending_open"], 1);
  EXPECT_EQ(document_["units"].size(), 17u);
  for (const char* id : {"778", "7CC"}) {
    EXPECT_EQ(Unit(id)["answers"]["broken"], 1) << id;
    EXPECT_EQ(Unit(id)["lists"].size(), 0u) << id;
  }
}

TEST_F(AskedRealInput, ResponsePendingIsResolvedOrNot) {
  EXPECT_EQ(Unit("7AD")["answers"]["pending_resolved"], 1) << "it answered 0.67 s later";
  EXPECT_EQ(Unit("7AD")["codes"][0]["code"], "B1603-00");
  EXPECT_EQ(Unit("7A8")["answers"]["pending_open"], 1) << "it said so four times in 7.5 s";
  EXPECT_EQ(Unit("7A8")["answers"]["positive"], 0);
}

TEST_F(AskedRealInput, CodesOfUnitsThatAnswered) {
  EXPECT_EQ(code_, 1);
  const Json code = Unit("7BB")["codes"][0];
  EXPECT_EQ(code["code"], "B1238-13");
  EXPECT_EQ(code["title"], nullptr) << "the maker's own";
  EXPECT_EQ(code["failure_type"]["text"], "circuit open");
  EXPECT_EQ(code["status"], "09");
  EXPECT_EQ(code["status_words"], Json({"failed at its last test", "confirmed: stored"}));
  EXPECT_EQ(Unit("7EC")["codes"].size(), 0u);
  EXPECT_EQ(Unit("7EC")["lists"], Json({"03", "07", "19 02"}));
  EXPECT_EQ(Unit("7EA")["refusals"][0]["words"],
            "the unit does not offer this kind of request (12 subFunctionNotSupported)");
}

TEST_F(AskedRealInput, NobodyAskedForIdentification) {
  const ToolRun run = RunProofdrive({"identify", session_});
  EXPECT_EQ(run.code, 3) << run.err;
}

TEST(AskedRealTraffic, OrdinaryTrafficHasNoConversations) {
  const auto folder = Dataset("ev-two-bus-events");
  if (!folder) GTEST_SKIP() << "the recordings of ev-two-bus-events are not here";
  const TempDir temporary;
  const std::string session = temporary.File("power.session");
  ImportRows(*folder + "/power-cycle-two-bus.csv.gz", session);
  const ToolRun run = RunProofdrive({"codes", session, "--json"});
  EXPECT_EQ(run.code, 3) << run.err;
  const Json document = Json::parse(run.out, nullptr, false);
  EXPECT_EQ(document["units"].size(), 0u) << document["units"].dump(1);
}

}  // namespace
}  // namespace proofdrive
