#include "web/access/token.h"

#include <gmock/gmock.h>
#include <sys/stat.h>

#include <fstream>

#include "tests/support/matchers.h"
#include "tests/support/temp_dir.h"

namespace proofdrive::web {
namespace {

using testing::IsError;
using testing::IsOk;

class TokenTest : public ::testing::Test {
 protected:
  void Write(const std::string& text, mode_t mode = 0600) {
    std::ofstream(path_) << text;
    ASSERT_EQ(::chmod(path_.c_str(), mode), 0);
  }
  testing::TempDir folder_;
  const std::string path_ = folder_.File("token");
};

TEST_F(TokenTest, IsMadeOnceForThisUserAlone) {
  const auto made = ReadOrMakeToken(path_);
  ASSERT_OK(made);
  EXPECT_THAT(*made, ::testing::MatchesRegex("[a-z0-9]{4}(-[a-z0-9]{4}){4}"));
  struct stat info {};
  ASSERT_EQ(::stat(path_.c_str(), &info), 0);
  EXPECT_EQ(info.st_mode & 0777, 0600u);
  EXPECT_EQ(ReadOrMakeToken(path_).value(), *made) << "kept";
  EXPECT_NE(ReadOrMakeToken(folder_.File("other")).value(), *made);
}

TEST_F(TokenTest, TheFirstLineOfAFileCounts) {
  Write("  0123456789abcdef_-\nsecond line\n");
  EXPECT_EQ(ReadOrMakeToken(path_).value(), "0123456789abcdef_-");
}

TEST_F(TokenTest, WeakOnesAreRefused) {
  const std::string sentence =
      "token file " + path_ +
      " must hold 16 to 128 letters, digits, \"-\" and \"_\"; remove it and a "
      "new one is made";
  for (const std::string& text : {std::string(), std::string("short"), std::string(129, 'x'),
                                  std::string(4000, 'x'), std::string("0123456789abcde;f")}) {
    Write(text);
    EXPECT_THAT(ReadOrMakeToken(path_), IsError(ErrorKind::kInvalidArgument, sentence));
  }
}

TEST_F(TokenTest, OthersMustNotBeAbleToReadIt) {
  Write("0123456789abcdef", 0640);
  EXPECT_THAT(ReadOrMakeToken(path_),
              IsError(ErrorKind::kPermission,
                      "token file " + path_ +
                          " is open to other users of this machine: chmod 600 " + path_));
}

TEST_F(TokenTest, AFolderThatIsMissingIsNamed) {
  EXPECT_THAT(ReadOrMakeToken(folder_.File("no/token")).status().message(),
              ::testing::HasSubstr("token file " + folder_.File("no/token")));
}

}  // namespace
}  // namespace proofdrive::web
