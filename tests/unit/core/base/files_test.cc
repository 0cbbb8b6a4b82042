// The same promises for the real file system and the one in memory, then the faults of the latter.
#include "core/base/files.h"

#include <gtest/gtest.h>
#include <sys/stat.h>
#include <unistd.h>

#include <sys/stat.h>

#include <filesystem>
#include <fstream>

#include "core/base/posix_files.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tests/support/temp_dir.h"

namespace proofdrive {
namespace {

using ::proofdrive::testing::IsError;
using ::proofdrive::testing::MemoryFiles;
using ::proofdrive::testing::TempDir;
using ::proofdrive::testing::Unsynced;
using ::testing::_;
using ::testing::EndsWith;

template <class T>
class FilesTest : public ::testing::Test {
 protected:
  std::string Path(const std::string& name) const { return folder_.File(name); }
  void Write(const std::string& path, const std::string& text) {
    auto file = files_.Create(path);
    ASSERT_OK(file);
    ASSERT_OK((*file)->Append(AsBytes(text)));
    ASSERT_OK((*file)->Sync());
  }

  TempDir folder_;
  T files_;
};

using Implementations = ::testing::Types<PosixFiles, MemoryFiles>;
TYPED_TEST_SUITE(FilesTest, Implementations);

TYPED_TEST(FilesTest, AppendedBytesAreReadBack) {
  auto file = this->files_.Create(this->Path("a"));
  ASSERT_OK(file);
  ASSERT_OK((*file)->Append(AsBytes("one ")));
  ASSERT_OK((*file)->Append(AsBytes("two")));
  EXPECT_EQ((*file)->size(), 7U);
  EXPECT_EQ(ReadWholeFile(this->files_, this->Path("a")).value(), "one two");
  EXPECT_THAT(ReadWholeFile(this->files_, this->Path("a"), 6),
              IsError(ErrorKind::kInvalidArgument, EndsWith("is larger than 6 bytes")));
}

TYPED_TEST(FilesTest, NothingIsOverwritten) {
  this->Write(this->Path("a"), "x");
  EXPECT_THAT(this->files_.Create(this->Path("a")),
              IsError(ErrorKind::kAlreadyExists, EndsWith("File exists")));
}

TYPED_TEST(FilesTest, ReadingPastTheEndGivesLess) {
  this->Write(this->Path("a"), "12345");
  auto file = this->files_.Open(this->Path("a"));
  ASSERT_OK(file);
  EXPECT_EQ((*file)->Read(3, 10).value().size(), 2U);
  EXPECT_EQ((*file)->Read(99, 10).value().size(), 0U);
  EXPECT_EQ((*file)->Size().value(), 5U);
}

TYPED_TEST(FilesTest, MissingFileIsNotFound) {
  EXPECT_THAT(this->files_.Open(this->Path("none")),
              IsError(ErrorKind::kNotFound, EndsWith("No such file or directory")));
  EXPECT_THAT(this->files_.Remove(this->Path("none")), IsError(ErrorKind::kNotFound, _));
  EXPECT_FALSE(this->files_.Exists(this->Path("none")));
}

TYPED_TEST(FilesTest, RenameReplacesAndListIsSorted) {
  this->Write(this->Path("b"), "new");
  this->Write(this->Path("a"), "old");
  this->Write(this->Path("c"), "third");
  ASSERT_OK(this->files_.Rename(this->Path("b"), this->Path("a")));
  EXPECT_EQ(ReadWholeFile(this->files_, this->Path("a")).value(), "new");
  EXPECT_EQ(this->files_.List(this->folder_.path()).value(), (std::vector<std::string>{"a", "c"}));
}

TYPED_TEST(FilesTest, ALockKeepsOthersOutUntilReleased) {
  this->Write(this->Path("a"), "x");
  auto lock = this->files_.Lock(this->Path("a"));
  ASSERT_OK(lock);
  EXPECT_THAT(this->files_.Lock(this->Path("a")),
              IsError(ErrorKind::kBusy, EndsWith("in use by another program")));
  { const auto released = std::move(lock).value(); }
  EXPECT_OK(this->files_.Lock(this->Path("a")));
}

TYPED_TEST(FilesTest, WhoAsksForALockIsInNobodysWay) {
  this->Write(this->Path("a"), "x");
  EXPECT_FALSE(this->files_.IsLocked(this->Path("a")));
  EXPECT_FALSE(this->files_.IsLocked(this->Path("none")));
  const auto lock = this->files_.Lock(this->Path("a"));
  ASSERT_OK(lock);
  EXPECT_TRUE(this->files_.IsLocked(this->Path("a")));
  EXPECT_TRUE(this->files_.IsLocked(this->Path("a")));
}

TYPED_TEST(FilesTest, LooksWithoutOpening) {
  this->Write(this->Path("a"), "12345");
  const auto info = this->files_.Look(this->Path("a"));
  ASSERT_OK(info);
  EXPECT_TRUE(info->regular);
  EXPECT_EQ(info->bytes, 5U);
  EXPECT_THAT(this->files_.Look(this->Path("none")), IsError(ErrorKind::kNotFound, _));
}

TYPED_TEST(FilesTest, KnowsWhenItsFileIsNoLongerThere) {
  const std::string path = this->Path("a");
  const auto file = this->files_.Create(path);
  ASSERT_OK(file);
  ASSERT_OK((*file)->Append(AsBytes("12345")));
  EXPECT_OK((*file)->CheckPlace(path));
  ASSERT_OK(this->files_.Rename(path, this->Path("b")));
  EXPECT_THAT((*file)->CheckPlace(path),
              IsError(ErrorKind::kNotFound, EndsWith("a was removed or moved away")));
  EXPECT_OK((*file)->CheckPlace(this->Path("b")));
  this->Write(path, "12345");
  EXPECT_THAT((*file)->CheckPlace(path),
              IsError(ErrorKind::kAlreadyExists, EndsWith("a was replaced by another file")));
  ASSERT_OK(this->files_.Remove(this->Path("b")));
  EXPECT_THAT((*file)->CheckPlace(this->Path("b")), IsError(ErrorKind::kNotFound, _));
}

TYPED_TEST(FilesTest, ReplaceFileLeavesTheNewTextAndNothingElse) {
  ASSERT_OK(ReplaceFile(this->files_, this->Path("a"), "first"));
  ASSERT_OK(ReplaceFile(this->files_, this->Path("a"), "second"));
  EXPECT_EQ(ReadWholeFile(this->files_, this->Path("a")).value(), "second");
  EXPECT_EQ(this->files_.List(this->folder_.path()).value(), (std::vector<std::string>{"a"}));
}

TYPED_TEST(FilesTest, ReplaceFileTakesANameThatNobodyHas) {
  ASSERT_OK(ReplaceFile(this->files_, this->Path("a.new"), "somebody's"));
  ASSERT_OK(ReplaceFile(this->files_, this->Path("a"), "text"));
  EXPECT_EQ(ReadWholeFile(this->files_, this->Path("a.new")).value(), "somebody's");
  EXPECT_EQ(this->files_.List(this->folder_.path()).value(),
            (std::vector<std::string>{"a", "a.new"}));
}

TEST(ReplaceFile, LeavesNothingWhenItFails) {
  MemoryFiles files;
  files.FailAfter(2, ErrorKind::kNoSpace, false);
  EXPECT_THAT(ReplaceFile(files, "a", "text"), IsError(ErrorKind::kNoSpace, _));
  EXPECT_EQ(files.List(".").value(), (std::vector<std::string>{}));
}

TEST(PosixFilesTest, KnowsWhatStandsAtAPath) {
  TempDir folder;
  PosixFiles files;
  std::ofstream(folder.File("file")) << "x";
  ASSERT_EQ(::symlink("file", folder.File("link").c_str()), 0);
  ASSERT_EQ(::symlink("gone", folder.File("broken").c_str()), 0);
  ASSERT_EQ(::mkfifo(folder.File("pipe").c_str(), 0600), 0);
  EXPECT_EQ(files.KindOf(folder.File("none")), PathKind::kNothing);
  EXPECT_EQ(files.KindOf(folder.File("file")), PathKind::kFile);
  EXPECT_EQ(files.KindOf(folder.path()), PathKind::kFolder);
  EXPECT_EQ(files.KindOf(folder.File("link")), PathKind::kLink);
  EXPECT_EQ(files.KindOf(folder.File("broken")), PathKind::kLink);
  EXPECT_EQ(files.KindOf(folder.File("pipe")), PathKind::kOther);
  EXPECT_EQ(files.KindOf("/dev/null"), PathKind::kOther);
}

TEST(PosixFilesTest, AFolderIsNoFile) {
  TempDir folder;
  PosixFiles files;
  EXPECT_THAT(files.Open(folder.path()),
              IsError(ErrorKind::kInvalidArgument, EndsWith("it is a folder, not a file")));
}

TEST(PosixFilesTest, APipeIsNoFileAndNothingWaitsForIt) {
  TempDir folder;
  PosixFiles files;
  const std::string pipe = folder.File("x.session");
  ASSERT_EQ(::mkfifo(pipe.c_str(), 0600), 0);
  EXPECT_THAT(files.Open(pipe),
              IsError(ErrorKind::kInvalidArgument,
                      EndsWith("it is a device, a pipe or a socket, not a file")));
  EXPECT_OK(files.Lock(pipe));
  EXPECT_THAT(files.Open("/dev/zero"), IsError(ErrorKind::kInvalidArgument, _));
}

TEST(PosixFilesTest, APipeIsNoFileAndNobodyWaitsForIt) {
  TempDir folder;
  PosixFiles files;
  ASSERT_EQ(::mkfifo(folder.File("pipe").c_str(), 0600), 0);
  EXPECT_THAT(files.Open(folder.File("pipe")),
              IsError(ErrorKind::kInvalidArgument,
                      EndsWith("it is a device, a pipe or a socket, not a file")));
  EXPECT_FALSE(files.IsLocked(folder.File("pipe")));
  const auto info = files.Look(folder.File("pipe"));
  ASSERT_OK(info);
  EXPECT_FALSE(info->regular);
}

TEST(PosixFilesTest, AFileThatIsCutWhileItIsWrittenIsNoticed) {
  TempDir folder;
  PosixFiles files;
  const auto file = files.Create(folder.File("a"));
  ASSERT_OK(file);
  ASSERT_OK((*file)->Append(AsBytes("12345")));
  std::filesystem::resize_file(folder.File("a"), 3);
  EXPECT_THAT((*file)->CheckPlace(folder.File("a")),
              IsError(ErrorKind::kTruncated, EndsWith("a was changed by another program")));
}

TEST(PosixFilesTest, MakesFoldersWithTheirParents) {
  TempDir folder;
  PosixFiles files;
  ASSERT_OK(files.MakeDirectory(folder.File("a/b/c")));
  ASSERT_OK(files.MakeDirectory(folder.File("a/b/c")));
  ASSERT_OK(files.SyncDirectory(folder.File("a/b")));
  EXPECT_EQ(files.List(folder.File("a/b")).value(), (std::vector<std::string>{"c"}));
  std::ofstream(folder.File("file")) << "x";
  EXPECT_THAT(files.MakeDirectory(folder.File("file")), IsError(ErrorKind::kAlreadyExists, _));
}

TEST(PosixFilesTest, KnowsTheFreeSpace) {
  TempDir folder;
  PosixFiles files;
  EXPECT_GT(files.FreeBytes(folder.path()).value(), 0U);
  EXPECT_THAT(files.FreeBytes(folder.File("none")), IsError(ErrorKind::kNotFound, _));
}

TEST(PathTest, FolderAndName) {
  EXPECT_EQ(DirectoryOf("a/b"), "a");
  EXPECT_EQ(DirectoryOf("/b"), "/");
  EXPECT_EQ(DirectoryOf("b"), ".");
  EXPECT_EQ(FileNameOf("a/b"), "b");
  EXPECT_EQ(FileNameOf("b"), "b");
}

class PowerLossTest : public ::testing::TestWithParam<Unsynced> {};

TEST_P(PowerLossTest, SyncedBytesSurviveAndTheRestIsAsSaid) {
  MemoryFiles files;
  auto file = files.Create("d/a").value();
  ASSERT_OK(file->Append(AsBytes("kept")));
  ASSERT_OK(file->Sync());
  ASSERT_OK(files.SyncDirectory("d"));
  ASSERT_OK(file->Append(AsBytes("tail")));
  files.LosePower(GetParam());
  const std::string text = ReadWholeFile(files, "d/a").value();
  EXPECT_EQ(text.substr(0, 4), "kept");
  EXPECT_EQ(text.size(), GetParam() == Unsynced::kLost ? 4U : 8U);
  EXPECT_EQ(text == "kepttail", GetParam() == Unsynced::kWritten);
  EXPECT_THAT(file->Append(AsBytes("x")), IsError(ErrorKind::kIo, "d/a: the power is gone"));
}

INSTANTIATE_TEST_SUITE_P(AllKinds, PowerLossTest,
                         ::testing::Values(Unsynced::kWritten, Unsynced::kLost,
                                           Unsynced::kGarbage));

TEST(MemoryFilesTest, ANameThatWasNeverSyncedIsGoneAfterPowerLoss) {
  MemoryFiles files;
  ASSERT_OK(files.Create("d/a").value()->Sync());
  files.LosePower(Unsynced::kLost);
  EXPECT_FALSE(files.Exists("d/a"));
}

TEST(MemoryFilesTest, FullDiskWritesWhatFits) {
  MemoryFiles files;
  auto file = files.Create("a").value();
  files.SetCapacity(3);
  EXPECT_THAT(file->Append(AsBytes("12345")),
              IsError(ErrorKind::kNoSpace, "a: No space left on device"));
  EXPECT_EQ(file->size(), 3U);
  EXPECT_EQ(files.FreeBytes(".").value(), 0U);
}

TEST(MemoryFilesTest, FailsFromTheNthCallOn) {
  MemoryFiles files;
  files.FailAfter(3);
  auto file = files.Create("a").value();
  ASSERT_OK(file->Append(AsBytes("ab")));
  EXPECT_THAT(file->Sync(), IsError(ErrorKind::kIo, "sync a: injected fault"));
  EXPECT_FALSE(file->Append(AsBytes("cd")).ok());
  files.StopFailing();
  EXPECT_OK(file->Append(AsBytes("cd")));
  EXPECT_EQ(ReadWholeFile(files, "a").value(), "abccd");
}

}  // namespace
}  // namespace proofdrive
