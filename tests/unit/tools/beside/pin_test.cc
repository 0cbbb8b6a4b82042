#include <gmock/gmock.h>

#include <sstream>

#include "session/model/pin.h"
#include "session/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

using testing::IsOk;

class PinTest : public ::testing::Test {
 protected:
  void Record(const std::string& path) {
    auto writer = session::Writer::Create(files_, path, {});
    ASSERT_OK(writer);
    ASSERT_OK((*writer)->Finish());
  }

  int Run(std::vector<const char*> words) {
    words.insert(words.begin(), "proofdrive");
    out_.str("");
    err_.str("");
    Environment environment{files_, out_, err_};
    return RunTool(static_cast<int>(words.size()), words.data(), environment);
  }

  testing::MemoryFiles files_;
  std::ostringstream out_;
  std::ostringstream err_;
};

TEST_F(PinTest, PinsAllPartsTogetherAndTakesThePinAway) {
  Record("d/x.session");
  Record("d/x.part-0002.session");
  EXPECT_EQ(Run({"pin", "d/x.part-0002.session"}), 0);
  EXPECT_EQ(out_.str(), "d/x.session: pinned; it is not deleted to make room\n");
  EXPECT_TRUE(session::IsPinned(files_, "d/x.session"));
  EXPECT_TRUE(session::IsPinned(files_, "d/x.part-0002.session"));
  EXPECT_EQ(Run({"pin", "d/x"}), 0) << "by its name, and once more is no mistake";
  EXPECT_EQ(Run({"pin", "--remove", "d/x.session"}), 0);
  EXPECT_EQ(out_.str(), "d/x.session: not pinned any more; it may be deleted to make room\n");
  EXPECT_FALSE(session::IsPinned(files_, "d/x.session"));
}

TEST_F(PinTest, NothingThere) {
  EXPECT_EQ(Run({"pin", "d/y.session"}), 2);
  EXPECT_EQ(err_.str(),
            "proofdrive: d/y.session: there is no such file; give the path of a .session file\n");
}

}  // namespace
}  // namespace proofdrive::tools
