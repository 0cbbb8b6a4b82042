#include "tools/shell/progress.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <sstream>

#include "tests/support/memory_files.h"

namespace proofdrive::tools {
namespace {

class ProgressTest : public ::testing::Test {
 protected:
  proofdrive::testing::MemoryFiles files_;
  std::ostringstream out_;
  std::ostringstream err_;
  Environment environment_{files_, out_, err_, true};
  ManualClock clock_{WallTime()};
};

TEST_F(ProgressTest, QuickWorkShowsNothing) {
  {
    Progress progress(environment_, "import x", clock_);
    progress.Update(1, 2);
    clock_.Advance(std::chrono::milliseconds(999));
    progress.Update(2, 2);
  }
  EXPECT_EQ(err_.str(), "");
}

TEST_F(ProgressTest, SlowWorkShowsItsShareAndCleansUp) {
  {
    Progress progress(environment_, "import x", clock_);
    clock_.Advance(std::chrono::seconds(1));
    progress.Update(2, 5);
  }
  EXPECT_EQ(err_.str(),
            "\r\x1b[Kimport x  oooooooooo...............  40 %, about 2 s left\r\x1b[K");
  EXPECT_EQ(out_.str(), "");
}

TEST_F(ProgressTest, NotATerminalShowsNothing) {
  environment_.terminal = false;
  Progress progress(environment_, "import x", clock_);
  clock_.Advance(std::chrono::seconds(5));
  progress.Update(1, 2);
  EXPECT_EQ(err_.str(), "");
}

TEST_F(ProgressTest, DrawsAtMostTenTimesASecondAndNeverBeyondTheEnd) {
  Progress progress(environment_, "x", clock_);
  clock_.Advance(std::chrono::seconds(1));
  for (int i = 0; i < 100; ++i) {
    progress.Update(10, 5);
    clock_.Advance(std::chrono::milliseconds(10));
  }
  const std::string text = err_.str();
  EXPECT_EQ(std::count(text.begin(), text.end(), '%'), 10);
  EXPECT_NE(text.find(" 100 %"), std::string::npos);
  progress.Update(1, 0);  // nothing known about the whole
}

}  // namespace
}  // namespace proofdrive::tools
