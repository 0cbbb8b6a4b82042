#include "daemon/recording/retention.h"

#include <gmock/gmock.h>

#include "session/model/parts.h"
#include "session/model/pin.h"
#include "session/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tests/unit/daemon/recording/recording_log.h"

namespace proofdrive::daemon {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using testing::IsOk;
using testing::MemoryFiles;

class RetentionTest : public ::testing::Test {
 protected:
  // Files of about 100 kB, started `hour` o'clock.
  void Record(const std::string& name, int hour, const std::string& software = "proofdrived 1") {
    session::Header header;
    header.software = software;
    header.started.wall = WallTime(std::chrono::hours(hour));
    header.notes = std::string(100'000, 'x');
    auto writer = session::Writer::Create(files_, "d/" + name + ".session", header);
    ASSERT_OK(writer);
    ASSERT_OK((*writer)->Finish());
  }

  std::vector<std::string> Left() { return files_.List("d").value(); }

  Retention Make(std::uint64_t budget) { return Retention(files_, log_, counters_, "d", budget); }

  MemoryFiles files_;
  RecordingLog log_;
  Counters counters_;
};

// Each file holds its notes twice: in the header and, repeated, in the footer.
constexpr std::uint64_t kOne = 201'000;

TEST_F(RetentionTest, DeletesTheOldestUntilTheBudgetIsKept) {
  Record("b", 3);
  Record("a", 1);
  Record("c", 2);
  Record("d", 4);
  Retention retention = Make(2 * kOne);
  retention.Apply("", 0);
  EXPECT_THAT(Left(), ElementsAre("b.session", "d.session"));
  EXPECT_THAT(retention.info().deleted, ElementsAre("a.session", "c.session"));
  EXPECT_FALSE(retention.info().over_budget);
  EXPECT_LE(retention.info().used, 2 * kOne);
  EXPECT_EQ(counters_.Get(Counter::kDeletedRecordings), 2u);
  ASSERT_EQ(log_.lines().size(), 2u);
  EXPECT_THAT(log_.lines()[0], HasSubstr("Deleted d/a.session ("));
  EXPECT_THAT(log_.lines()[0], HasSubstr("pin what must stay: proofdrive pin SESSION"));
}

TEST_F(RetentionTest, NeverDeletesWhatIsPinnedRecordedForeignOrUnreadable) {
  Record("pinned", 1);
  ASSERT_OK(session::SetPinned(files_, "d/pinned.session", true));
  Record("now", 2);
  Record("imported", 3, "proofdrive 1");
  files_.Put("d/unreadable.session", std::vector<std::uint8_t>(200'000, 7));
  files_.Put("d/holiday.jpg", std::vector<std::uint8_t>(200'000, 7));
  session::Header header;
  header.software = "proofdrived 1";
  const auto other = session::Writer::Create(files_, "d/other-daemon.session", header);
  Record("old", 5);
  Retention retention = Make(1);
  retention.Apply("d/now.session", 0);
  EXPECT_THAT(Left(), ElementsAre("holiday.jpg", "imported.session", "now.session",
                                  "other-daemon.journal", "other-daemon.session", "pinned.pinned",
                                  "pinned.session", "unreadable.session"));
  EXPECT_TRUE(retention.info().over_budget);
  EXPECT_THAT(log_.lines().back(), HasSubstr("nothing is left that may be deleted"));
  const std::size_t lines = log_.lines().size();
  retention.Apply("d/now.session", 0);
  EXPECT_EQ(log_.lines().size(), lines) << "said once";
}

TEST_F(RetentionTest, ARecordingGoesWithAllItsFiles) {
  Record("x", 1);
  Record("x.part-0002", 2);
  files_.Put("d/x.truth.json", {1});
  Record("y", 3);
  Retention retention = Make(kOne);
  retention.Apply("", 0);
  EXPECT_THAT(Left(), ElementsAre("y.session"));
}

TEST_F(RetentionTest, AFullDiskIsAReasonToo) {
  Record("a", 1);
  Record("b", 2);
  files_.SetCapacity(3 * kOne);
  Retention retention = Make(1'000'000'000);
  retention.Apply("", kOne * 3 / 2);
  EXPECT_THAT(Left(), ElementsAre("b.session"));
}

TEST_F(RetentionTest, WithoutABudgetNothingIsDeleted) {
  Record("a", 1);
  Retention retention(files_, log_, counters_, "d", std::nullopt);
  files_.SetCapacity(kOne);
  retention.Apply("", 1'000'000);
  EXPECT_THAT(Left(), ElementsAre("a.session"));
  EXPECT_THAT(log_.lines(), IsEmpty());
}

TEST_F(RetentionTest, WhatCannotBeDeletedIsSaid) {
  Record("a", 1);
  Record("b", 2);
  files_.FailAfter(1, ErrorKind::kPermission, false);
  Retention retention = Make(kOne);
  retention.Apply("", 0);
  EXPECT_THAT(log_.lines()[0], HasSubstr("Could not delete d/a.session"));
  EXPECT_THAT(Left(), ElementsAre("a.session"));
}

}  // namespace
}  // namespace proofdrive::daemon
