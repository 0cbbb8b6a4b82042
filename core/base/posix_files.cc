#include "core/base/posix_files.h"

#include <dirent.h>
#include <fcntl.h>
#include <sys/stat.h>
#include <sys/statvfs.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>

#include "core/base/descriptor.h"

namespace proofdrive {
namespace {

constexpr std::size_t kSmallRead = std::size_t{1} << 16;

Status Fail(const std::string& what) { return Status::FromErrno(errno, what); }

class PosixAppendFile : public AppendFile {
 public:
  PosixAppendFile(int descriptor, std::string path)
      : descriptor_(descriptor), path_(std::move(path)) {}

  Status Append(ByteSpan bytes) override {
    while (!bytes.empty()) {
      const ssize_t written = ::write(descriptor_.get(), bytes.data(), bytes.size());
      if (written < 0) {
        if (errno == EINTR) continue;
        return Fail(path_);
      }
      size_ += static_cast<std::uint64_t>(written);
      bytes = bytes.subspan(static_cast<std::size_t>(written));
    }
    return Status::Ok();
  }

  Status Sync() override {
    return ::fdatasync(descriptor_.get()) == 0 ? Status::Ok() : Fail("sync " + path_);
  }

  std::uint64_t size() const override { return size_; }

  Status CheckPlace(const std::string& path) const override {
    struct stat here {};
    struct stat there {};
    if (::fstat(descriptor_.get(), &here) != 0) return Fail(path_);
    if (::stat(path.c_str(), &there) != 0) {
      if (errno != ENOENT) return Fail("look at " + path);
      return Status(ErrorKind::kNotFound, path + " was removed or moved away");
    }
    if (there.st_dev != here.st_dev || there.st_ino != here.st_ino) {
      return Status(ErrorKind::kAlreadyExists, path + " was replaced by another file");
    }
    if (static_cast<std::uint64_t>(here.st_size) == size_) return Status::Ok();
    return Status(ErrorKind::kTruncated, path + " was changed by another program");
  }

 private:
  Descriptor descriptor_;
  std::string path_;
  std::uint64_t size_ = 0;
};

class PosixReadFile : public ReadFile {
 public:
  PosixReadFile(int descriptor, std::string path)
      : descriptor_(descriptor), path_(std::move(path)) {}

  Result<std::vector<std::uint8_t>> Read(std::uint64_t offset, std::size_t count) override {
    std::uint64_t available = count;
    if (count > kSmallRead) {  // a damaged file may ask for more memory than it has bytes
      ASSIGN_OR_RETURN(const std::uint64_t size, Size());
      available = size > offset ? size - offset : 0;
    }
    std::vector<std::uint8_t> bytes(
        static_cast<std::size_t>(std::min<std::uint64_t>(count, available)));
    std::size_t done = 0;
    while (done < bytes.size()) {
      const ssize_t got = ::pread(descriptor_.get(), bytes.data() + done, bytes.size() - done,
                                  static_cast<off_t>(offset + done));
      if (got < 0) {
        if (errno == EINTR) continue;
        return Fail("read " + path_);
      }
      if (got == 0) break;
      done += static_cast<std::size_t>(got);
    }
    bytes.resize(done);
    return bytes;
  }

  Result<std::uint64_t> Size() override {
    struct stat info {};
    if (::fstat(descriptor_.get(), &info) != 0) return Fail(path_);
    return static_cast<std::uint64_t>(info.st_size);
  }

 private:
  Descriptor descriptor_;
  std::string path_;
};

struct flock WholeFile() {
  struct flock whole {};
  whole.l_type = F_WRLCK;
  whole.l_whence = SEEK_SET;
  return whole;  // from 0, and a length of 0 means to the end
}

class PosixLock : public FileLock {
 public:
  explicit PosixLock(int descriptor) : descriptor_(descriptor) {}

 private:
  Descriptor descriptor_;  // closing it releases the lock
};

}  // namespace

Result<std::unique_ptr<AppendFile>> PosixFiles::Create(const std::string& path) {
  const int descriptor =
      ::open(path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_APPEND | O_CLOEXEC, 0644);
  if (descriptor < 0) return Fail("create " + path);
  return std::unique_ptr<AppendFile>(std::make_unique<PosixAppendFile>(descriptor, path));
}

Result<std::unique_ptr<ReadFile>> PosixFiles::Open(const std::string& path) {
  // Opening a pipe that nobody writes to would wait for ever.
  const int descriptor = ::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK);
  if (descriptor < 0) return Fail("open " + path);
  auto file = std::make_unique<PosixReadFile>(descriptor, path);
  struct stat info {};
  if (::fstat(descriptor, &info) != 0) return Fail("open " + path);
  if (S_ISDIR(info.st_mode)) {
    return Status(ErrorKind::kInvalidArgument, "open " + path + ": it is a folder, not a file");
  }
  if (!S_ISREG(info.st_mode)) {
    return Status(ErrorKind::kInvalidArgument,
                  "open " + path + ": it is a device, a pipe or a socket, not a file");
  }
  return std::unique_ptr<ReadFile>(std::move(file));
}

Status PosixFiles::Rename(const std::string& from, const std::string& to) {
  if (::rename(from.c_str(), to.c_str()) != 0) return Fail("rename " + from + " to " + to);
  return Status::Ok();
}

Status PosixFiles::Remove(const std::string& path) {
  return ::unlink(path.c_str()) == 0 ? Status::Ok() : Fail("remove " + path);
}

bool PosixFiles::Exists(const std::string& path) {
  struct stat info {};
  return ::stat(path.c_str(), &info) == 0;
}

Result<FileInfo> PosixFiles::Look(const std::string& path) {
  struct stat info {};
  if (::stat(path.c_str(), &info) != 0) return Fail("look at " + path);
  return FileInfo{S_ISREG(info.st_mode), static_cast<std::uint64_t>(info.st_size)};
}

PathKind PosixFiles::KindOf(const std::string& path) {
  struct stat info {};
  if (::lstat(path.c_str(), &info) != 0) return PathKind::kNothing;
  switch (info.st_mode & S_IFMT) {
    case S_IFREG:
      return PathKind::kFile;
    case S_IFDIR:
      return PathKind::kFolder;
    case S_IFLNK:
      return PathKind::kLink;
    default:
      return PathKind::kOther;
  }
}

Status PosixFiles::MakeDirectory(const std::string& path) {
  if (path.empty() || path == "/" || path == ".") return Status::Ok();
  struct stat info {};
  if (::stat(path.c_str(), &info) == 0) {
    if (S_ISDIR(info.st_mode)) return Status::Ok();
    return Status(ErrorKind::kAlreadyExists, path + ": it is a file, not a folder");
  }
  RETURN_IF_ERROR(MakeDirectory(DirectoryOf(path)));
  if (::mkdir(path.c_str(), 0755) != 0 && errno != EEXIST) return Fail("create folder " + path);
  return Status::Ok();
}

Result<std::vector<std::string>> PosixFiles::List(const std::string& directory) {
  const std::unique_ptr<DIR, int (*)(DIR*)> handle(::opendir(directory.c_str()), ::closedir);
  if (!handle) return Fail("read folder " + directory);
  std::vector<std::string> names;
  while (const dirent* entry = ::readdir(handle.get())) {
    const std::string name = entry->d_name;
    if (name != "." && name != "..") names.push_back(name);
  }
  std::sort(names.begin(), names.end());
  return names;
}

Status PosixFiles::SyncDirectory(const std::string& directory) {
  const Descriptor descriptor(::open(directory.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (descriptor.get() < 0) return Fail("open folder " + directory);
  // Some file systems cannot sync a folder and say EINVAL; there is nothing more to be done.
  if (::fsync(descriptor.get()) != 0 && errno != EINVAL) return Fail("sync folder " + directory);
  return Status::Ok();
}

Result<std::uint64_t> PosixFiles::FreeBytes(const std::string& directory) {
  struct statvfs info {};
  if (::statvfs(directory.c_str(), &info) != 0) return Fail("free space of " + directory);
  return static_cast<std::uint64_t>(info.f_bavail) * info.f_frsize;
}

// Locks of open file descriptions: as flock they belong to the descriptor, and unlike flock they
// can be asked for without being taken.
Result<std::unique_ptr<FileLock>> PosixFiles::Lock(const std::string& path) {
  const int descriptor = ::open(path.c_str(), O_RDWR | O_CLOEXEC | O_NONBLOCK);
  if (descriptor < 0) return Fail("lock " + path);
  auto lock = std::make_unique<PosixLock>(descriptor);
  struct flock whole = WholeFile();
  if (::fcntl(descriptor, F_OFD_SETLK, &whole) != 0) {
    if (errno != EAGAIN && errno != EACCES) return Fail("lock " + path);
    return Status(ErrorKind::kBusy, path + ": in use by another program");
  }
  return std::unique_ptr<FileLock>(std::move(lock));
}

bool PosixFiles::IsLocked(const std::string& path) {
  const Descriptor descriptor(::open(path.c_str(), O_RDONLY | O_CLOEXEC | O_NONBLOCK));
  if (descriptor.get() < 0) return false;
  struct flock whole = WholeFile();
  return ::fcntl(descriptor.get(), F_OFD_GETLK, &whole) == 0 && whole.l_type != F_UNLCK;
}

}  // namespace proofdrive
