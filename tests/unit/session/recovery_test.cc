#include "session/recovery.h"

#include <gmock/gmock.h>

#include "session/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

namespace proofdrive::session {
namespace {

using proofdrive::testing::IsError;
using proofdrive::testing::IsOk;
using proofdrive::testing::MemoryFiles;

constexpr const char* kPath = "d/x.session";
constexpr const char* kOutput = "d/y.session";

void Record(MemoryFiles& files, bool finish) {
  Header header;
  header.id = std::string(32, 'a');
  header.name = "short";
  auto writer = Writer::Create(files, kPath, header);
  ASSERT_OK(writer);
  Frame frame;
  frame.time = WallFromNanoseconds(5000);
  frame.length = 1;
  ASSERT_OK((*writer)->Append({&frame, 1}));
  Event mark;
  mark.kind = EventKind::kMark;
  mark.text = "pump on";
  mark.time = WallFromNanoseconds(6000);
  ASSERT_OK((*writer)->AddEvent(mark));
  if (finish) {
    ASSERT_OK((*writer)->Finish());
  }
}

TEST(Verify, SoundSessionHasNothingToReport) {
  MemoryFiles files;
  Record(files, true);
  auto report = Verify(files, kPath);
  ASSERT_OK(report);
  EXPECT_EQ(report->state, State::kComplete);
  EXPECT_EQ(report->frames, 1U);
  EXPECT_EQ(report->events, 1U);
  EXPECT_TRUE(report->losses.empty());
}

TEST(Recover, InterruptedSessionBecomesCompleteWithANotice) {
  MemoryFiles files;
  Record(files, false);
  auto report = Recover(files, kPath, kOutput);
  ASSERT_OK(report);
  EXPECT_EQ(report->frames, 1U);
  EXPECT_EQ(report->events, 2U);
  EXPECT_TRUE(report->losses.empty());
  auto reader = Reader::Open(files, kOutput);
  ASSERT_OK(reader);
  EXPECT_EQ((*reader)->state(), State::kComplete);
  EXPECT_EQ((*reader)->header().id, std::string(32, 'a'));
  EXPECT_EQ((*reader)->header().name, "short");
  ASSERT_EQ((*reader)->events().size(), 2U);
  EXPECT_EQ((*reader)->events()[0].text, "pump on");
  EXPECT_EQ((*reader)->events()[1].text,
            "recovered from x.session (interrupted): nothing was lost");
  EXPECT_EQ((*reader)->events()[1].time, WallFromNanoseconds(6000));
}

TEST(Recover, NeverOverwrites) {
  MemoryFiles files;
  Record(files, false);
  files.Put(kOutput, {1, 2, 3});
  EXPECT_THAT(Recover(files, kPath, kOutput),
              IsError(ErrorKind::kAlreadyExists,
                      "d/y.session already exists and is not overwritten: choose another name"));
  EXPECT_EQ(files.Contents(kOutput).size(), 3U);
}

TEST(Recover, LeavesNothingBehindWhenTheDiskIsFull) {
  MemoryFiles files;
  Record(files, false);
  const std::uint64_t used = files.Contents(kPath).size() + files.Contents("d/x.journal").size();
  for (std::uint64_t more = 0; more < 200; more += 10) {
    files.SetCapacity(used + more);
    auto report = Recover(files, kPath, kOutput);
    ASSERT_FALSE(report.ok());
    EXPECT_EQ(report.status().kind(), ErrorKind::kNoSpace);
    EXPECT_FALSE(files.Exists(kOutput));
  }
}

// The recorder was killed between creating the files and writing to them.
TEST(Recover, AnAttemptThatEndedAtOnceIsSaidToBeEmptyAndItsNameIsFree) {
  MemoryFiles files;
  files.Put(kPath, {});
  files.Put("d/x.journal", {});
  EXPECT_THAT(Recover(files, kPath, kOutput),
              IsError(ErrorKind::kTruncated,
                      "d/x.session is empty: nothing was ever stored in it, so there is nothing to "
                      "recover. Its name can be used again"));
  Record(files, true);
  EXPECT_EQ(Verify(files, kPath).value().state, State::kComplete);
}

TEST(Recover, OnlyAnAttemptThatStoredNothingGivesItsNameBack) {
  MemoryFiles files;
  files.Put(kPath, {});
  files.Put("d/x.journal", {1});
  EXPECT_THAT(Writer::Create(files, kPath, {}), IsError(ErrorKind::kAlreadyExists, ::testing::_));
  MemoryFiles without;
  without.Put(kPath, {});
  EXPECT_THAT(Writer::Create(without, kPath, {}), IsError(ErrorKind::kAlreadyExists, ::testing::_));
}

// Killed after the header of the session was written, before the journal was.
TEST(Verify, ASessionThatHadJustBegunIsNotDamaged) {
  MemoryFiles files;
  { ASSERT_OK(Writer::Create(files, kPath, {})); }
  files.Put("d/x.journal", {});
  const auto report = Verify(files, kPath);
  ASSERT_OK(report);
  EXPECT_EQ(report->state, State::kInterrupted);
  EXPECT_TRUE(report->losses.empty());
}

TEST(Recover, SessionThatIsNotThere) {
  MemoryFiles files;
  EXPECT_THAT(Recover(files, kPath, kOutput),
              IsError(ErrorKind::kNotFound,
                      "d/x.session: there is no such file; give the path of a .session file"));
}

}  // namespace
}  // namespace proofdrive::session
