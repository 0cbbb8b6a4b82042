#include "daemon/recording/upkeep.h"

#include <gmock/gmock.h>
#include <sys/stat.h>

#include <filesystem>
#include <fstream>

#include "core/base/posix_files.h"
#include "session/writer.h"
#include "tests/support/keeping_log.h"
#include "tests/support/matchers.h"
#include "tests/support/temp_dir.h"

namespace proofdrive::daemon {
namespace {

using std::chrono::seconds;
using ::testing::ElementsAre;
using testing::IsOk;

class UpkeepTest : public ::testing::Test {
 protected:
  // About 200 kB.
  void Record(Upkeep& upkeep, const std::string& name, int hour) {
    session::Header header;
    header.started.wall = WallTime(std::chrono::hours(hour));
    header.notes = std::string(100'000, 'x');
    const std::string path = folder_.File(name + ".session");
    auto writer = session::Writer::Create(files_, path, header);
    ASSERT_OK(writer);
    upkeep.Note(path, (*writer)->header());
    ASSERT_OK((*writer)->Finish());
  }

  testing::TempDir folder_;
  PosixFiles files_;
  testing::KeepingLog log_;
  Counters counters_;
};

// Pipes, and files that are long but hold nothing, once kept the recorder from its work.
TEST_F(UpkeepTest, NothingInTheFolderKeepsItWaiting) {
  ASSERT_EQ(::mkfifo(folder_.File("x.session").c_str(), 0600), 0);
  ASSERT_EQ(::mkfifo(folder_.File("a.journal").c_str(), 0600), 0);
  ASSERT_EQ(::mkfifo(folder_.File("proofdrived.recordings").c_str(), 0600), 0);
  std::ofstream(folder_.File("long.session"));
  std::filesystem::resize_file(folder_.File("long.session"), std::uintmax_t{20} << 30);
  Upkeep upkeep(files_, log_, counters_, folder_.path(), 1, true);
  Record(upkeep, "b", 1);
  upkeep.Apply("", 0);
  EXPECT_TRUE(upkeep.Wait(seconds(5)));
  EXPECT_TRUE(files_.Exists(folder_.File("b.session"))) << "the list is no file: nothing is known";
  EXPECT_THAT(upkeep.info().deleted, ElementsAre());
  EXPECT_GT(upkeep.info().free, 0U);
}

TEST_F(UpkeepTest, DeletesAsideWhatTheBudgetAllows) {
  Upkeep upkeep(files_, log_, counters_, folder_.path(), 250'000, true);
  Record(upkeep, "a", 1);
  Record(upkeep, "b", 2);
  upkeep.Apply("", 0);
  ASSERT_TRUE(upkeep.Wait(seconds(5)));
  EXPECT_THAT(upkeep.info().deleted, ElementsAre("a.session"));
  EXPECT_FALSE(files_.Exists(folder_.File("a.session")));
  EXPECT_TRUE(files_.Exists(folder_.File("b.session")));
}

TEST_F(UpkeepTest, WhatWasNotedIsWrittenDownBeforeTheEnd) {
  {
    Upkeep upkeep(files_, log_, counters_, folder_.path(), {}, true);
    Record(upkeep, "a", 1);
  }
  EXPECT_EQ(RecordedList(files_, folder_.path()).Read().size(), 1U);
}

}  // namespace
}  // namespace proofdrive::daemon
