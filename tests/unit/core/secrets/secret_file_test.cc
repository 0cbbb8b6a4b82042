#include "core/secrets/secret_file.h"

#include <gmock/gmock.h>
#include <sys/stat.h>

#include <fstream>

#include "tests/support/matchers.h"
#include "tests/support/temp_dir.h"

namespace proofdrive {
namespace {

using testing::IsError;
using testing::IsOk;

class SecretFileTest : public ::testing::Test {
 protected:
  Result<std::string> Read() { return ReadSecretLine(path_, "password file", 100); }
  void Write(const std::string& text, mode_t mode) {
    std::ofstream(path_) << text;
    ASSERT_EQ(::chmod(path_.c_str(), mode), 0);
  }
  testing::TempDir folder_;
  const std::string path_ = folder_.File("secret");
};

TEST_F(SecretFileTest, TheFirstLineCounts) {
  Write(" right \nsecond", 0600);
  EXPECT_EQ(Read().value(), " right ");
  Write("", 0400);
  EXPECT_EQ(Read().value(), "");
}

TEST_F(SecretFileTest, OnlyItsOwnerMayReadIt) {
  for (const mode_t mode : {0644u, 0640u, 0602u, 0660u}) {
    Write("right", mode);
    EXPECT_THAT(Read(), IsError(ErrorKind::kPermission,
                                "password file " + path_ +
                                    " is open to other users of this machine: chmod 600 " + path_));
  }
}

TEST_F(SecretFileTest, APipeIsNotWaitedFor) {
  ASSERT_EQ(::mkfifo(path_.c_str(), 0600), 0);
  EXPECT_THAT(Read(), IsError(ErrorKind::kInvalidArgument,
                              "password file " + path_ + " is no regular file: give one"));
}

TEST_F(SecretFileTest, WhatIsNotThereIsSaid) {
  EXPECT_THAT(Read(), IsError(ErrorKind::kNotFound,
                              "password file " + path_ + ": No such file or directory"));
}

TEST_F(SecretFileTest, IsMadeForThisUserAloneAndReplacesNothing) {
  ASSERT_OK(MakeSecretFile(path_, "password file", "right\n"));
  EXPECT_EQ(Read().value(), "right");
  struct stat info {};
  ASSERT_EQ(::stat(path_.c_str(), &info), 0);
  EXPECT_EQ(info.st_mode & 0777, 0600u);
  EXPECT_THAT(MakeSecretFile(path_, "password file", "wrong\n"),
              IsError(ErrorKind::kAlreadyExists, "password file " + path_ + ": File exists"));
  EXPECT_EQ(Read().value(), "right");
}

}  // namespace
}  // namespace proofdrive
