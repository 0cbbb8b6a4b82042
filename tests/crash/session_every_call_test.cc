// Any call of the operating system may fail, and the power may go after any call.
#include <gtest/gtest.h>

#include "tests/crash/session_script.h"

namespace proofdrive::session::crash {
namespace {

int CallsOfWholeRun() {
  MemoryFiles files;
  files.FailAfter(1 << 30);
  Script script(files);
  EXPECT_OK(script.RunAndFinish());
  EXPECT_GT(files.mutating_calls(), static_cast<int>(kSteps * 3));
  return files.mutating_calls();
}

TEST(EveryCall, FailingForGoodLosesNothingThatWasTaken) {
  const int calls = CallsOfWholeRun();
  for (int nth = 1; nth <= calls; ++nth) {
    SCOPED_TRACE("call " + std::to_string(nth) + " of " + std::to_string(calls));
    MemoryFiles files;
    files.FailAfter(nth);
    std::size_t frames = 0;
    {
      Script script(files);
      ASSERT_FALSE(script.RunAndFinish().ok());
      if (!script.created()) continue;
      frames = script.frames();
    }
    files.StopFailing();
    auto reader = Reader::Open(files, kPath);
    ASSERT_OK(reader);
    EXPECT_EQ(FramesOf(**reader), FirstFrames(frames));
    ExpectRecoverable(files, FirstFrames(frames));
  }
}

TEST(EveryCall, FailingOnceAndRepeatedMakesACompleteSession) {
  const int calls = CallsOfWholeRun();
  for (int nth = 1; nth <= calls; ++nth) {
    SCOPED_TRACE("call " + std::to_string(nth) + " of " + std::to_string(calls));
    MemoryFiles files;
    files.FailAfter(nth, ErrorKind::kIo, false);
    Script script(files);
    Status status = script.RunAndFinish();
    EXPECT_FALSE(status.ok());
    for (int attempt = 0; !status.ok() && attempt < 3; ++attempt) status = script.RunAndFinish();
    ASSERT_OK(status);
    EXPECT_FALSE(files.Exists(kJournal));
    auto report = Verify(files, kPath);
    ASSERT_OK(report);
    EXPECT_EQ(report->state, State::kComplete);
    EXPECT_TRUE(report->losses.empty());
    auto reader = Reader::Open(files, kPath);
    ASSERT_OK(reader);
    EXPECT_EQ(FramesOf(**reader), AllFrames());
    ASSERT_EQ((*reader)->events().size(), kSteps);
    for (std::size_t i = 0; i < kSteps; ++i) EXPECT_EQ((*reader)->events()[i], MarkNumber(i));
    for (const StreamInfo& stream : (*reader)->streams()) {
      EXPECT_EQ(stream.frames, stream.key.id == 0x2A1 ? (kFrames + 2) / 3 : kFrames * 2 / 3);
    }
  }
}

class PowerCut : public ::testing::TestWithParam<Unsynced> {};

TEST_P(PowerCut, AfterEveryCallLosesNothingThatWasSynced) {
  const int calls = CallsOfWholeRun();
  for (int nth = 1; nth <= calls + 1; ++nth) {
    SCOPED_TRACE("before call " + std::to_string(nth) + " of " + std::to_string(calls));
    MemoryFiles files;
    files.FailAfter(nth);
    Script script(files);
    (void)script.RunAndFinish();
    files.StopFailing();
    files.LosePower(GetParam());
    if (!script.created()) continue;
    auto reader = Reader::Open(files, kPath);
    ASSERT_OK(reader);
    const std::vector<Frame> frames = FramesOf(**reader);
    EXPECT_NE((*reader)->state(), State::kDamaged);
    EXPECT_TRUE(IsPrefix(frames));
    EXPECT_GE(frames.size(), script.synced_frames());
    EXPECT_GE((*reader)->events().size(), script.synced_marks());
    for (const Loss& loss : (*reader)->losses()) {
      EXPECT_EQ(loss.severity, Loss::Severity::kNotice) << loss.what;
    }
    ExpectRecoverable(files, frames);
  }
}

INSTANTIATE_TEST_SUITE_P(UnsyncedBytes, PowerCut,
                         ::testing::Values(Unsynced::kWritten, Unsynced::kLost, Unsynced::kGarbage),
                         [](const auto& unsynced) {
                           return unsynced.param == Unsynced::kWritten ? "Written"
                                  : unsynced.param == Unsynced::kLost  ? "Lost"
                                                                       : "Garbage";
                         });

// While the recorder runs, a reader finds everything that was taken, at any moment.
TEST(EveryCall, ReaderBesideTheRecorderSeesWhatIsThere) {
  MemoryFiles files;
  Script script(files);
  ASSERT_OK(script.Create());
  for (std::size_t step = 1; step <= kSteps; ++step) {
    ASSERT_OK(script.Run(step));
    auto reader = Reader::Open(files, kPath);
    ASSERT_OK(reader);
    EXPECT_EQ((*reader)->state(), State::kRecording);
    EXPECT_EQ(FramesOf(**reader), FirstFrames(step * kFramesPerStep));
    EXPECT_EQ((*reader)->events().size(), step);
    EXPECT_TRUE((*reader)->losses().empty());
    EXPECT_THAT(Recover(files, kPath, kRecovered),
                IsError(ErrorKind::kBusy,
                        "disk/drive.session: still being recorded: stop the recording first"));
  }
}

}  // namespace
}  // namespace proofdrive::session::crash
