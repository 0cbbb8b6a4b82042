#include "core/base/files.h"

namespace proofdrive {
namespace {

// More than crashes and programs at the same time can leave.
constexpr int kMostTemporaries = 1000;

struct Temporary {
  std::string path;
  std::unique_ptr<AppendFile> file;
};

// "PATH.new", or "PATH.2.new" and so on: one that did not exist.
Result<Temporary> CreateTemporary(Files& files, const std::string& path) {
  for (int number = 1;; ++number) {
    std::string name = path + (number == 1 ? "" : "." + std::to_string(number)) + ".new";
    auto file = files.Create(name);
    if (file.ok()) return Temporary{std::move(name), std::move(file).value()};
    const bool taken = file.status().kind() == ErrorKind::kAlreadyExists;
    if (!taken || number == kMostTemporaries) return file.status();
  }
}

Status WriteAndSync(AppendFile& file, const std::string& text) {
  RETURN_IF_ERROR(file.Append(AsBytes(text)));
  return file.Sync();
}

}  // namespace

std::string DirectoryOf(const std::string& path) {
  const std::size_t slash = path.rfind('/');
  if (slash == std::string::npos) return ".";
  return slash == 0 ? "/" : path.substr(0, slash);
}

std::string FileNameOf(const std::string& path) {
  const std::size_t slash = path.rfind('/');
  return slash == std::string::npos ? path : path.substr(slash + 1);
}

Result<std::string> ReadWholeFile(Files& files, const std::string& path, std::uint64_t limit) {
  ASSIGN_OR_RETURN(auto file, files.Open(path));
  ASSIGN_OR_RETURN(const std::uint64_t size, file->Size());
  if (size > limit) {
    return Status(ErrorKind::kInvalidArgument,
                  path + " is larger than " + std::to_string(limit) + " bytes");
  }
  ASSIGN_OR_RETURN(const auto bytes, file->Read(0, static_cast<std::size_t>(size)));
  return std::string(bytes.begin(), bytes.end());
}

Status ReplaceFile(Files& files, const std::string& path, const std::string& text) {
  ASSIGN_OR_RETURN(Temporary temporary, CreateTemporary(files, path));
  Status written = WriteAndSync(*temporary.file, text);
  temporary.file.reset();
  if (written.ok()) written = files.Rename(temporary.path, path);
  if (!written.ok()) {
    (void)files.Remove(temporary.path);
    return written;
  }
  return files.SyncDirectory(DirectoryOf(path));
}

}  // namespace proofdrive
