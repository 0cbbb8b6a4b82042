// Any read may fail, as on a card that is worn out: it is said, and never taken for damage of the
// session, which a better reader of the card may still read.
#include <gtest/gtest.h>

#include <utility>

#include "session/recording_reader.h"
#include "tests/crash/session_script.h"
#include "tests/support/counting_files.h"

namespace proofdrive::session::crash {
namespace {

using Disk = testing::CountingFiles<MemoryFiles>;

// Every way to read. On success all of it must be there, on failure only what is true.
Status ReadAll(Files& files, const std::string& path) {
  ASSIGN_OR_RETURN(const auto reader, OpenRecording(files, path));
  std::vector<Frame> frames;
  Status status = reader->ForEachFrame([&](const Frame& frame) {
    frames.push_back(frame);
    return true;
  });
  std::size_t rows = 0;
  for (const StreamInfo& stream : reader->streams()) {
    const auto column = reader->ReadStream(stream.key);
    if (column.ok()) rows += column->times.size();
    if (status.ok() && !column.ok()) status = column.status();
  }
  EXPECT_TRUE(IsPrefix(frames));
  EXPECT_TRUE(reader->losses().empty()) << reader->losses()[0].what;
  if (status.ok()) {
    EXPECT_EQ(frames.size(), kFrames);
    EXPECT_EQ(rows, kFrames);
  }
  return status;
}

// Runs `use` with every call failing once. `use` returns what it was told.
template <class Use>
void ForEveryRead(bool finished, const Use& use) {
  Disk files;
  {
    Script script(files);
    ASSERT_OK(finished ? script.RunAndFinish() : script.Run());
  }
  const std::vector<std::uint8_t> before = files.Contents(kPath);
  files.calls = 0;
  ASSERT_OK(use(files));
  const int calls = files.calls;
  int failed = 0;
  for (int nth = 1; nth <= calls; ++nth) {
    SCOPED_TRACE("read " + std::to_string(nth) + " of " + std::to_string(calls));
    files.calls = 0;
    files.fail_at = nth;
    const Status status = use(files);
    EXPECT_EQ(files.Contents(kPath), before);
    if (status.ok()) continue;
    ++failed;
    EXPECT_EQ(status.kind(), ErrorKind::kIo) << status.message();
    EXPECT_NE(status.message().find("made to fail"), std::string::npos) << status.message();
  }
  // A complete session does not need to know whether it has a journal.
  EXPECT_GT(failed, 5);
  EXPECT_GE(failed, finished ? calls - 2 : calls);
}

class EveryRead : public ::testing::TestWithParam<bool> {};

TEST_P(EveryRead, FailingIsAnErrorAndNoDamage) {
  ForEveryRead(GetParam(), [](Disk& files) { return ReadAll(files, kPath); });
}

TEST_P(EveryRead, FailingStopsVerify) {
  ForEveryRead(GetParam(), [](Disk& files) -> Status {
    ASSIGN_OR_RETURN(const VerifyReport report, Verify(files, kPath));
    EXPECT_EQ(report.frames, kFrames);
    EXPECT_TRUE(report.losses.empty());
    return Status::Ok();
  });
}

TEST_P(EveryRead, FailingStopsRecoverAndLeavesNothingBehind) {
  ForEveryRead(GetParam(), [](Disk& files) {
    const Status status = Recover(files, kPath, kRecovered).status();
    EXPECT_EQ(files.Exists(kRecovered), status.ok());
    if (status.ok()) {
      const int calls = std::exchange(files.calls, 0);
      files.fail_at = 0;
      EXPECT_OK(ReadAll(files, kRecovered));
      files.calls = calls;
      EXPECT_OK(files.Remove(kRecovered));
    }
    return status;
  });
}

INSTANTIATE_TEST_SUITE_P(Session, EveryRead, ::testing::Bool(), [](const auto& finished) {
  return finished.param ? "Complete" : "Interrupted";
});

}  // namespace
}  // namespace proofdrive::session::crash
