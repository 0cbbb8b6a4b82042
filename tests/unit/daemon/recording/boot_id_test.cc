#include "daemon/recording/boot_id.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>

#include "tests/support/temp_dir.h"

namespace proofdrive::daemon {
namespace {

constexpr char kId[] = "01234567-89ab-cdef-0123-456789abcdef";

TEST(BootIdTest, TheKernelIsAskedFirstThenTheEnvironment) {
  const testing::TempDir folder;
  ::setenv("PROOFDRIVE_BOOT_ID", "0123456789abcdef0123456789abcdef", 1);
  EXPECT_EQ(ReadBootId(folder.File("none")), kId);
  std::ofstream(folder.File("boot_id")) << "other\n";
  EXPECT_EQ(ReadBootId(folder.File("boot_id")), "other");
  ::unsetenv("PROOFDRIVE_BOOT_ID");
  EXPECT_EQ(ReadBootId(folder.File("none")), "");
}

}  // namespace
}  // namespace proofdrive::daemon
