// The power goes at any moment, and every block of 64 bytes that was not synced is written, left
// empty or filled with garbage, each on its own; names that were not synced are kept or not. Blocks
// of a disk are larger; so are the records of a real recording.
#include <gtest/gtest.h>

#include <random>

#include "session/recording_reader.h"
#include "tests/crash/session_script.h"

namespace proofdrive::session::crash {
namespace {

constexpr unsigned kSeeds = 1000;
// Several records between two syncs, so that one can be lost and a later one be there.
constexpr std::size_t kFramesPerAppend = 1;

int CallsOfWholeRun() {
  MemoryFiles files;
  files.FailAfter(1 << 30);
  Script script(files, kFramesPerAppend);
  EXPECT_OK(script.RunAndFinish());
  return files.mutating_calls();
}

// Frames in order, none twice, none invented; the first `synced` without a gap.
void ExpectTruth(const std::vector<Frame>& found, std::size_t synced) {
  const std::vector<Frame> all = AllFrames();
  std::size_t at = 0;
  for (std::size_t i = 0; i < found.size(); ++i) {
    while (at < all.size() && !(all[at] == found[i])) ++at;
    ASSERT_LT(at, all.size()) << "frame " << i << " was never recorded, or twice";
    ASSERT_TRUE(i >= synced || at == i) << "a synced frame is missing";
    ++at;
  }
  EXPECT_GE(found.size(), synced);
}

bool AnyDataLoss(const Reader& reader) {
  return std::any_of(reader.losses().begin(), reader.losses().end(),
                     [](const Loss& loss) { return loss.severity == Loss::Severity::kDataLoss; });
}

TEST(GarbledBlocks, ThousandPowerCutsLoseNothingThatWasSynced) {
  const int calls = CallsOfWholeRun();
  unsigned created = 0;
  unsigned gaps = 0;
  for (unsigned seed = 1; seed <= kSeeds; ++seed) {
    SCOPED_TRACE("seed " + std::to_string(seed));
    std::mt19937 random(seed);
    MemoryFiles files;
    files.FailAfter(1 + static_cast<int>(random() % static_cast<unsigned>(calls + 1)));
    Script script(files, kFramesPerAppend);
    (void)script.RunAndFinish();
    files.StopFailing();
    files.LosePowerAtRandom(random);
    if (!script.created()) continue;
    ++created;
    auto reader = Reader::Open(files, kPath);
    ASSERT_OK(reader);
    const std::vector<Frame> frames = FramesOf(**reader);
    ExpectTruth(frames, script.synced_frames());
    ASSERT_GE((*reader)->events().size(), script.synced_marks());
    for (std::size_t i = 0; i < script.synced_marks(); ++i) {
      EXPECT_EQ((*reader)->events()[i], MarkNumber(i));
    }
    if (!IsPrefix(frames)) {
      ++gaps;
      EXPECT_TRUE(AnyDataLoss(**reader)) << "a gap that nobody is told of";
    }
    auto report = Recover(files, kPath, kRecovered);
    ASSERT_OK(report);
    auto recovered = Reader::Open(files, kRecovered);
    ASSERT_OK(recovered);
    EXPECT_EQ((*recovered)->state(), State::kComplete);
    EXPECT_EQ(FramesOf(**recovered), frames);
  }
  std::cout << kSeeds << " power cuts, " << created << " with a session, " << gaps
            << " with a gap after what was synced\n";
  EXPECT_GT(created, kSeeds / 2) << "otherwise this test shows little";
  EXPECT_GT(gaps, 0u) << "otherwise no block in the middle was ever lost";
}

}  // namespace
}  // namespace proofdrive::session::crash
