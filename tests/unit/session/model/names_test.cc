#include "session/model/names.h"

#include <gtest/gtest.h>

#include "session/recovery.h"
#include "tests/support/matchers.h"

namespace proofdrive::session {
namespace {

using proofdrive::testing::IsError;
using proofdrive::testing::IsOk;

TEST(Names, EveryFileOfASession) {
  EXPECT_EQ(JournalPath("a/b.session"), "a/b.journal");
  EXPECT_EQ(NextJournalPath("a/b.session"), "a/b.journal.new");
  EXPECT_EQ(RecoveredPath("a/b.session"), "a/b.recovered.session");
  EXPECT_EQ(JournalPath("odd"), "odd.journal");
}

TEST(Names, SessionMustHaveANameAndTheEnding) {
  EXPECT_OK(CheckSessionPath("a/b.session"));
  EXPECT_THAT(CheckSessionPath("a/b"),
              IsError(ErrorKind::kInvalidArgument,
                      "a/b: the name of a session must end in .session, for example a/b.session"));
  EXPECT_FALSE(CheckSessionPath("a/.session").ok());
  EXPECT_FALSE(CheckSessionPath("").ok());
}

TEST(Names, TellWhichSessionAFileBelongsTo) {
  EXPECT_EQ(SessionOfFile("x.session"), "x.session");
  EXPECT_EQ(SessionOfFile("x.journal"), "x.session");
  EXPECT_EQ(SessionOfFile("x.journal.new"), "x.session");
  EXPECT_EQ(SessionOfFile("x.part-0002.journal"), "x.part-0002.session");
  EXPECT_EQ(SessionOfFile("x.truth.json"), "x.session");
  EXPECT_EQ(SessionOfFile(".session"), "");
  EXPECT_EQ(SessionOfFile("x.jpg"), "");
  EXPECT_EQ(TruthPath("d/x.session"), "d/x.truth.json");
}

TEST(Names, TellWhichFilesHoldFrames) {
  EXPECT_TRUE(HoldsRecording("d/x.session"));
  EXPECT_TRUE(HoldsRecording("d/.session"));
  EXPECT_TRUE(HoldsRecording("x.journal"));
  EXPECT_TRUE(HoldsRecording("x.journal.new"));
  EXPECT_FALSE(HoldsRecording("x.truth.json"));
  EXPECT_FALSE(HoldsRecording("x.session.html"));
}

}  // namespace
}  // namespace proofdrive::session
