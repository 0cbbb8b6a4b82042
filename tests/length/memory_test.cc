// The memory of every command that reads a session, for a short recording and for one of several
// hours: what grows with the length would fill any machine one day. Processes of their own run the
// commands, so that the peaks are theirs.
#include <gmock/gmock.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cstdio>
#include <cstdlib>
#include <sstream>

#include "core/base/posix_files.h"
#include "tests/support/long_recording.h"
#include "tests/support/matchers.h"
#include "tests/support/run_tool.h"
#include "tests/support/temp_dir.h"

namespace proofdrive {
namespace {

constexpr double kShort = 1;           // hours; what fits is kept whole for less than one
constexpr double kMostMib = 128;       // of a process, everything included
constexpr double kMostGrowthMib = 15;  // for the longer one

// Hours of the long one; what PROOFDRIVE_LONG_HOURS says, for a test that takes longer.
double Long() {
  const char* hours = std::getenv("PROOFDRIVE_LONG_HOURS");
  return hours == nullptr ? 2 : std::atof(hours);
}

// MiB; the exit code goes to `code`.
double PeakOf(const std::vector<std::string>& words, int& code) {
  const pid_t child = fork();
  if (child == 0) _exit(testing::RunUnheard(words));
  int state = 0;
  rusage usage{};
  EXPECT_EQ(wait4(child, &state, 0, &usage), child);
  EXPECT_TRUE(WIFEXITED(state));
  code = WEXITSTATUS(state);
  return static_cast<double>(usage.ru_maxrss) / 1024;
}

class Memory : public ::testing::Test {
 protected:
  static void SetUpTestSuite() {
    folder_ = new testing::TempDir;
    PosixFiles files;
    for (const auto& [name, hours, seed] :
         {std::tuple("short", kShort, 1U), std::tuple("short2", kShort, 2U),
          std::tuple("long", Long(), 1U), std::tuple("long2", Long(), 2U)}) {
      ASSERT_OK(testing::WriteLongRecording(files, Path(name), seed, hours));
    }
  }
  static void TearDownTestSuite() {
    delete folder_;
    folder_ = nullptr;
  }
  static std::string Path(const std::string& name) { return folder_->File(name + ".session"); }

  // `line`: "%" stands for a session, "%2" for another of the same length, "@" for a file to write.
  static double Peak(const std::string& line, const std::string& name) {
    std::istringstream words(line);
    std::vector<std::string> arguments;
    for (std::string word; words >> word;) {
      if (word == "%") word = Path(name);
      if (word == "%2") word = Path(name + "2");
      if (word == "@") word = folder_->File("out");
      arguments.push_back(word);
    }
    int code = -1;
    const double peak = PeakOf(arguments, code);
    EXPECT_TRUE(code == 0 || code == 1 || code == 3) << line << " ends with " << code;
    return peak;
  }

  static testing::TempDir* folder_;
};

testing::TempDir* Memory::folder_ = nullptr;

TEST_F(Memory, DoesNotGrowWithTheLength) {
  for (const char* line :
       {"info % --faults", "verify %", "decode %", "decode % --format csv",
        "decode % --signals pack_current --format csv", "decode % --signals range --format jsonl",
        "check %", "report % --out @ --overwrite", "compare % %2", "history % %2", "codes %"}) {
    const double small = Peak(line, "short"), large = Peak(line, "long");
    std::printf("%-46s %6.1f MiB, of the long one %6.1f MiB\n", line, small, large);
    EXPECT_LT(large, kMostMib) << line;
    EXPECT_LT(large - small, kMostGrowthMib) << line;
  }
}

}  // namespace
}  // namespace proofdrive
