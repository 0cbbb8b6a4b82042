#include "tools/input/output_file.h"

#include <gmock/gmock.h>
#include <sys/stat.h>
#include <unistd.h>

#include <fstream>

#include "core/base/posix_files.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tests/support/temp_dir.h"

namespace proofdrive::tools {
namespace {

using ::proofdrive::testing::IsError;
using ::proofdrive::testing::MemoryFiles;
using ::proofdrive::testing::TempDir;
using ::testing::HasSubstr;

constexpr char kJson[] = "{\n  \"warnings\": []\n}\n";
constexpr char kPage[] = "<!DOCTYPE html>\n<html><head><title>Now</title></head></html>\n";

class OutputFileTest : public ::testing::Test {
 protected:
  // What stands at `path` already.
  void Stands(const std::string& text) { ASSERT_OK(ReplaceFile(files_, "out", text)); }
  Status Write(const std::string& text, bool overwrite = false) {
    return WriteOutput(files_, {"--out", "out", overwrite}, text);
  }
  std::string Text() { return ReadWholeFile(files_, "out").value(); }

  MemoryFiles files_;
};

TEST_F(OutputFileTest, MakesWhatIsNotThere) {
  ASSERT_OK(Write(kJson));
  EXPECT_EQ(Text(), kJson);
}

TEST_F(OutputFileTest, ReplacesAnEarlierResultOfTheSameKind) {
  Stands("{\n  \"warnings\": [1, 2, 3]\n}\n");
  ASSERT_OK(Write(kJson));
  EXPECT_EQ(Text(), kJson);
  Stands("<!DOCTYPE html>\n<html><head><title>Before</title><body>older</html>");
  ASSERT_OK(Write(kPage));
  EXPECT_EQ(Text(), kPage);
  Stands("");
  ASSERT_OK(Write(kPage));
}

TEST_F(OutputFileTest, LeavesEverythingElse) {
  const std::string others[] = {"frames:\n  pack_status:\n",   // a definition file
                                "record: true\n",              // a configuration file
                                "{\"frames\": {}}",            // a definition file, too
                                "\xD7prf\x01\x02",             // a session
                                "\x0A\x0D\x0D\x0A capture",    // a capture
                                "<!DOCTYPE html><p>mine</p>",  // somebody's page
                                "{"};
  for (const std::string& other : others) {
    Stands(other);
    EXPECT_THAT(Write(kJson), IsError(ErrorKind::kAlreadyExists, HasSubstr("--overwrite")));
    EXPECT_THAT(Write(kPage), IsError(ErrorKind::kAlreadyExists, HasSubstr("--out out exists")));
    EXPECT_EQ(Text(), other);
  }
}

TEST_F(OutputFileTest, ReplacesEverythingElseWhenTold) {
  Stands("frames:\n");
  ASSERT_OK(Write(kJson, true));
  EXPECT_EQ(Text(), kJson);
}

TEST_F(OutputFileTest, ARecordingIsNeverReplaced) {
  const OutputFile output{"--json", "drive.session", true};
  EXPECT_THAT(WriteOutput(files_, output, kJson),
              IsError(ErrorKind::kInvalidArgument, HasSubstr("would overwrite a recording")));
  EXPECT_FALSE(files_.Exists("drive.session"));
}

TEST_F(OutputFileTest, ALongResultReplacesWhenItIsWhole) {
  const auto fresh = PlanNewFile(files_, {"--out", "out", false});
  ASSERT_OK(fresh);
  EXPECT_EQ(fresh->written, "out");
  Stands("a capture");
  EXPECT_THAT(PlanNewFile(files_, {"--out", "out", false}),
              IsError(ErrorKind::kAlreadyExists, HasSubstr("--overwrite")));
  ASSERT_OK(ReplaceFile(files_, "out.new", "somebody's"));
  const auto plan = PlanNewFile(files_, {"--out", "out", true});
  ASSERT_OK(plan);
  EXPECT_EQ(Text(), "a capture");
  ASSERT_OK(ReplaceFile(files_, plan->written, "newer"));
  ASSERT_OK(PutInPlace(files_, *plan));
  EXPECT_EQ(Text(), "newer");
  EXPECT_EQ(ReadWholeFile(files_, "out.new").value(), "somebody's");
  EXPECT_THAT(PlanNewFile(files_, {"--out", "x.session", true}),
              IsError(ErrorKind::kInvalidArgument, HasSubstr("recording")));
}

// "compare after-repair" would read the report from then on.
TEST(OutputFile, TheBareNameOfARecordingIsRefused) {
  TempDir folder;
  PosixFiles files;
  std::ofstream(folder.File("drive.session")) << "frames";
  EXPECT_THAT(CheckOutput(files, {"--out", folder.File("drive"), true}),
              IsError(ErrorKind::kInvalidArgument, HasSubstr("such as .html")));
  EXPECT_TRUE(CheckOutput(files, {"--out", folder.File("drive.html"), true}).ok());
  EXPECT_TRUE(CheckOutput(files, {"--out", folder.File("other"), true}).ok());
}

TEST(OutputFile, DevicesPipesFoldersAndLinksStay) {
  TempDir folder;
  PosixFiles files;
  std::ofstream(folder.File("target")) << kJson;
  ASSERT_EQ(::symlink("target", folder.File("link").c_str()), 0);
  ASSERT_EQ(::mkfifo(folder.File("pipe").c_str(), 0600), 0);
  const std::pair<std::string, const char*> cases[] = {{folder.File("link"), "symbolic link"},
                                                       {folder.File("pipe"), "a device, a pipe"},
                                                       {folder.path(), "is a folder"},
                                                       {"/dev/null", "a device, a pipe"}};
  for (const auto& [path, why] : cases) {
    const PathKind kind = files.KindOf(path);
    const OutputFile output{"--json", path, true};
    EXPECT_THAT(CheckOutput(files, output), IsError(ErrorKind::kInvalidArgument, HasSubstr(why)));
    EXPECT_THAT(WriteOutput(files, output, kJson),
                IsError(ErrorKind::kInvalidArgument, HasSubstr(why)));
    EXPECT_EQ(files.KindOf(path), kind);
  }
  EXPECT_EQ(ReadWholeFile(files, folder.File("target")).value(), kJson);
}

}  // namespace
}  // namespace proofdrive::tools
