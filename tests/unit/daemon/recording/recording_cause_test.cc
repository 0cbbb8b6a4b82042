#include "daemon/recording/recording_cause.h"

#include <gtest/gtest.h>

namespace proofdrive::daemon {
namespace {

using std::chrono::seconds;

RecordingCause Make(RecordWhen when) {
  RecordingPolicy policy;
  policy.when = when;
  policy.end_after = seconds(30);
  return RecordingCause(policy);
}

TEST(RecordingCauseTest, AskedNeverBegins) {
  RecordingCause cause = Make(RecordWhen::kAsked);
  cause.Note(seconds(1), true, 3);
  EXPECT_FALSE(cause.WantsStart(seconds(1)));
}

TEST(RecordingCauseTest, StartBeginsOnceAndNeverEndsByItself) {
  RecordingCause cause = Make(RecordWhen::kStart);
  EXPECT_TRUE(cause.WantsStart(seconds(0)));
  cause.Begun();
  EXPECT_FALSE(cause.WantsStop(seconds(1'000'000)));
  cause.Ended(seconds(10), false);
  cause.Note(seconds(100'000), true, 0);
  EXPECT_FALSE(cause.WantsStart(seconds(100'000))) << "somebody stopped it";
}

TEST(RecordingCauseTest, TrafficUntilSilence) {
  RecordingCause cause = Make(RecordWhen::kTraffic);
  cause.Note(seconds(1), false, 0);
  EXPECT_FALSE(cause.WantsStart(seconds(1)));
  cause.Note(seconds(2), true, 0);
  EXPECT_TRUE(cause.WantsStart(seconds(2)));
  cause.Begun();
  cause.Note(seconds(20), true, 0);
  EXPECT_FALSE(cause.WantsStop(seconds(49)));
  EXPECT_TRUE(cause.WantsStop(seconds(50)));
  cause.Ended(seconds(50), true);
  EXPECT_FALSE(cause.WantsStart(seconds(60)));
  cause.Note(seconds(61), true, 0);
  EXPECT_TRUE(cause.WantsStart(seconds(61)));
}

TEST(RecordingCauseTest, AfterSomebodyStoppedItTheBusMustHaveBeenSilent) {
  RecordingCause cause = Make(RecordWhen::kTraffic);
  cause.Note(seconds(1), true, 0);
  cause.Begun();
  cause.Ended(seconds(5), false);
  for (int at = 5; at < 100; at += 10) {
    cause.Note(seconds(at), true, 0);
    EXPECT_FALSE(cause.WantsStart(seconds(at)));
  }
  cause.Note(seconds(130), true, 0);
  EXPECT_TRUE(cause.WantsStart(seconds(130)));
}

TEST(RecordingCauseTest, WarningUntilAllAreOff) {
  RecordingCause cause = Make(RecordWhen::kWarning);
  cause.Note(seconds(1), true, 0);
  EXPECT_FALSE(cause.WantsStart(seconds(1)));
  cause.Note(seconds(2), true, 1);
  EXPECT_TRUE(cause.WantsStart(seconds(2)));
  cause.Begun();
  EXPECT_FALSE(cause.WantsStop(seconds(500))) << "still on";
  cause.Note(seconds(500), true, 1);
  cause.Note(seconds(501), true, 0);
  EXPECT_FALSE(cause.WantsStop(seconds(529)));
  EXPECT_TRUE(cause.WantsStop(seconds(530)));
}

TEST(RecordingCauseTest, AFailureIsTriedAgain) {
  RecordingCause cause = Make(RecordWhen::kStart);
  cause.NotBegun(seconds(0));
  EXPECT_FALSE(cause.WantsStart(seconds(9)));
  EXPECT_TRUE(cause.WantsStart(seconds(10)));
  cause.Begun();
  cause.Ended(seconds(20), true);
  EXPECT_FALSE(cause.WantsStart(seconds(29)));
  EXPECT_TRUE(cause.WantsStart(seconds(30)));
}

}  // namespace
}  // namespace proofdrive::daemon
