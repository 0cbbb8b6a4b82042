#include "session/recovery.h"

#include <gtest/gtest.h>

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

TEST(Recover, SessionThatIsNotThere) {
  MemoryFiles files;
  EXPECT_THAT(Recover(files, kPath, kOutput),
              IsError(ErrorKind::kNotFound,
                      "d/x.session: there is no such file; give the path of a .session file"));
}

}  // namespace
}  // namespace proofdrive::session
