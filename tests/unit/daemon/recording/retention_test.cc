#include "daemon/recording/retention.h"

#include <gmock/gmock.h>

#include "session/model/parts.h"
#include "session/model/pin.h"
#include "session/writer.h"
#include "tests/support/keeping_log.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

namespace proofdrive::daemon {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using ::testing::IsEmpty;
using testing::IsOk;
using testing::MemoryFiles;

class RetentionTest : public ::testing::Test {
 protected:
  static session::Header HeaderOf(int hour, session::Stage stage) {
    session::Header header;
    header.software = "proofdrived 1";
    header.stage = stage;
    header.started.wall = WallTime(std::chrono::hours(hour));
    header.notes = std::string(100'000, 'x');
    return header;
  }

  // A file of about 200 kB that nobody knows to be the recorder's.
  void Write(const std::string& name, const session::Header& header) {
    auto writer = session::Writer::Create(files_, "d/" + name + ".session", header);
    ASSERT_OK(writer);
    ASSERT_OK((*writer)->Finish());
  }

  // The same, recorded: started `hour` o'clock.
  void Record(const std::string& name, int hour,
              session::Stage stage = session::Stage::kUnspecified) {
    const session::Header header = HeaderOf(hour, stage);
    Write(name, header);
    Retention(files_, log_, counters_, "d", {}).Note("d/" + name + ".session", header);
  }

  // But the list.
  std::vector<std::string> Left() {
    std::vector<std::string> names = files_.List("d").value();
    std::erase(names, RecordedList::kFileName);
    return names;
  }

  Retention Make(std::uint64_t budget) { return Retention(files_, log_, counters_, "d", budget); }

  MemoryFiles files_;
  testing::KeepingLog log_;
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

// All of it takes room, and none of it is the recorder's to delete.
TEST_F(RetentionTest, NeverDeletesWhatIsNotItsOwn) {
  Write("imported", HeaderOf(1, session::Stage::kUnspecified));
  Record("original", 2);
  files_.Put("d/copy of original.session", files_.Contents("d/original.session"));
  files_.Put("d/original.recovered.session", files_.Contents("d/original.session"));
  Record("replaced", 3);
  ASSERT_OK(files_.Remove("d/replaced.session"));
  Write("replaced", HeaderOf(3, session::Stage::kUnspecified));
  Record("renamed", 4);
  ASSERT_OK(files_.Rename("d/renamed.session", "d/kept.session"));
  files_.Put("d/unreadable.session", std::vector<std::uint8_t>(200'000, 7));
  files_.Put("d/holiday.jpg", std::vector<std::uint8_t>(200'000, 7));
  files_.Put("d/orphan.journal", std::vector<std::uint8_t>(2'000'000, 7));
  const auto before = Left();
  Retention retention = Make(kOne);
  retention.Apply("", 0);
  EXPECT_EQ(Left(), before) << "the original alone is within the budget";
  EXPECT_EQ(retention.info().used, files_.Contents("d/original.session").size());
  Record("next", 5);
  retention.Apply("", 0);
  EXPECT_FALSE(files_.Exists("d/original.session"));
  EXPECT_EQ(Left().size(), before.size()) << "and nothing else went";
}

TEST_F(RetentionTest, NeverDeletesWhatSomebodyMeasuredBeside) {
  Record("measured", 1);
  files_.Put("d/measured.measured", {1});
  Record("plain", 2);
  Record("now", 3);
  Retention retention = Make(1);
  retention.Apply("d/now.session", 0);
  EXPECT_TRUE(files_.Exists("d/measured.session"));
}

TEST_F(RetentionTest, NeverDeletesWhatIsPinnedOrBeingRecorded) {
  Record("pinned", 1);
  ASSERT_OK(session::SetPinned(files_, "d/pinned.session", true));
  Record("now", 2);
  const session::Header header = HeaderOf(3, session::Stage::kUnspecified);
  const auto other = session::Writer::Create(files_, "d/other-daemon.session", header);
  ASSERT_OK(other);
  Retention retention = Make(1);
  retention.Note("d/other-daemon.session", header);
  retention.Apply("d/now.session", 0);
  EXPECT_THAT(Left(), ElementsAre("now.session", "other-daemon.journal", "other-daemon.session",
                                  "pinned.pinned", "pinned.session"));
  EXPECT_TRUE(retention.info().over_budget);
  EXPECT_THAT(log_.lines().back(), HasSubstr("deleting what may be deleted would not help"));
  const std::size_t lines = log_.lines().size();
  retention.Apply("d/now.session", 0);
  EXPECT_EQ(log_.lines().size(), lines) << "said once";
}

TEST_F(RetentionTest, NeverDeletesTheNewestOfAStage) {
  Record("a", 1, session::Stage::kArrival);
  Record("b", 2, session::Stage::kAfterRepair);
  Record("c", 3, session::Stage::kAfterRepair);
  Record("d", 4);
  Record("now", 5, session::Stage::kArrival);
  Retention retention = Make(3 * kOne);
  retention.Apply("d/now.session", 0);
  EXPECT_THAT(Left(), ElementsAre("a.session", "c.session", "now.session"));
}

TEST_F(RetentionTest, NothingIsDeletedWhenThatDoesNotReachTheBudget) {
  Record("old", 1);
  Record("pinned", 2);
  ASSERT_OK(session::SetPinned(files_, "d/pinned.session", true));
  Retention retention = Make(kOne / 2);
  retention.Apply("", 0);
  EXPECT_THAT(Left(), ElementsAre("old.session", "pinned.pinned", "pinned.session"));
  EXPECT_TRUE(retention.info().over_budget);
}

TEST_F(RetentionTest, NothingIsDeletedForADiskThatSomethingElseFills) {
  Record("a", 1);
  Record("b", 2);
  files_.Put("d/film.mkv", std::vector<std::uint8_t>(2'000'000, 7));
  files_.SetCapacity(2'500'000);
  Retention retention = Make(1'000'000'000);
  retention.Apply("", 1'000'000);
  EXPECT_THAT(Left(), ElementsAre("a.session", "b.session", "film.mkv"));
  EXPECT_THAT(retention.info().filled_by, HasSubstr("(the largest: film.mkv, 2,000,000)"));
  EXPECT_THAT(log_.lines().back(),
              HasSubstr("so none is deleted: in d recordings of this program"));
  const std::size_t lines = log_.lines().size();
  retention.Apply("", 1'000'000);
  EXPECT_EQ(log_.lines().size(), lines) << "said once";
  retention.Apply("", 0);
  EXPECT_EQ(retention.info().filled_by, "");
}

TEST_F(RetentionTest, AListThatCannotBeReadProtectsEverything) {
  Record("a", 1);
  Record("b", 2);
  for (const std::string& text : {std::string("{\"session\": [[[["), std::string("\xff\n{}\n[1]\n"),
                                  std::string(5'000'000, '[')}) {
    files_.Put(std::string("d/") + RecordedList::kFileName, {text.begin(), text.end()});
    Retention retention = Make(1);
    retention.Apply("", 0);
    EXPECT_THAT(Left(), ElementsAre("a.session", "b.session"));
  }
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
