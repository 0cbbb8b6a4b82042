#include "tests/support/memory_files.h"

#include <algorithm>

namespace proofdrive::testing {

class MemoryAppendFile : public AppendFile {
 public:
  MemoryAppendFile(MemoryFiles& files, MemoryFiles::NodePtr node, std::string path)
      : files_(files),
        node_(std::move(node)),
        path_(std::move(path)),
        generation_(files.generation_) {}

  Status Append(ByteSpan bytes) override {
    RETURN_IF_ERROR(CheckPower());
    const Status fault = files_.CountCall("append to " + path_);
    const std::uint64_t free = files_.capacity_ - std::min(files_.capacity_, files_.TotalBytes());
    const std::size_t room = static_cast<std::size_t>(std::min<std::uint64_t>(free, bytes.size()));
    const std::size_t count =
        fault.ok() ? room : std::min(room, files_.torn_ ? bytes.size() / 2 : 0);
    node_->bytes.insert(node_->bytes.end(), bytes.begin(),
                        bytes.begin() + static_cast<std::ptrdiff_t>(count));
    size_ += count;
    RETURN_IF_ERROR(fault);
    if (room < bytes.size()) {
      return Status(ErrorKind::kNoSpace, path_ + ": No space left on device");
    }
    return Status::Ok();
  }

  Status Sync() override {
    RETURN_IF_ERROR(CheckPower());
    RETURN_IF_ERROR(files_.CountCall("sync " + path_));
    node_->synced = node_->bytes.size();
    return Status::Ok();
  }

  std::uint64_t size() const override { return size_; }

  Status CheckPlace(const std::string& path) const override {
    const auto found = files_.names_.find(path);
    if (found == files_.names_.end()) {
      return Status(ErrorKind::kNotFound, path + " was removed or moved away");
    }
    if (found->second != node_) {
      return Status(ErrorKind::kAlreadyExists, path + " was replaced by another file");
    }
    if (node_->bytes.size() == size_) return Status::Ok();
    return Status(ErrorKind::kTruncated, path + " was changed by another program");
  }

 private:
  Status CheckPower() const {
    if (generation_ == files_.generation_) return Status::Ok();
    return Status(ErrorKind::kIo, path_ + ": the power is gone");
  }

  MemoryFiles& files_;
  MemoryFiles::NodePtr node_;
  std::string path_;
  std::uint64_t size_ = 0;
  int generation_;
};

class MemoryReadFile : public ReadFile {
 public:
  explicit MemoryReadFile(MemoryFiles::NodePtr node) : node_(std::move(node)) {}

  Result<std::vector<std::uint8_t>> Read(std::uint64_t offset, std::size_t count) override {
    const std::vector<std::uint8_t>& bytes = node_->bytes;
    const auto begin = static_cast<std::size_t>(std::min<std::uint64_t>(offset, bytes.size()));
    const std::size_t end = begin + std::min(count, bytes.size() - begin);
    return std::vector<std::uint8_t>(bytes.begin() + static_cast<std::ptrdiff_t>(begin),
                                     bytes.begin() + static_cast<std::ptrdiff_t>(end));
  }
  Result<std::uint64_t> Size() override { return std::uint64_t{node_->bytes.size()}; }

 private:
  MemoryFiles::NodePtr node_;
};

class MemoryLock : public FileLock {
 public:
  explicit MemoryLock(MemoryFiles::NodePtr node) : node_(std::move(node)) { node_->locked = true; }
  ~MemoryLock() override { node_->locked = false; }

 private:
  MemoryFiles::NodePtr node_;
};

namespace {

Status NoSuchFile(const std::string& path) {
  return Status(ErrorKind::kNotFound, path + ": No such file or directory");
}

}  // namespace

void MemoryFiles::FailAfter(int nth, ErrorKind kind, bool sticky) {
  calls_ = 0;
  fail_at_ = nth;
  fail_kind_ = kind;
  sticky_ = sticky;
}

void MemoryFiles::StopFailing() { fail_at_ = 0; }

Status MemoryFiles::CountCall(const std::string& what) {
  ++calls_;
  const bool due = fail_at_ > 0 && (sticky_ ? calls_ >= fail_at_ : calls_ == fail_at_);
  return due ? Status(fail_kind_, what + ": injected fault") : Status::Ok();
}

void MemoryFiles::LosePower(Unsynced unsynced) {
  ++generation_;
  names_ = unsynced == Unsynced::kWritten ? names_ : durable_names_;
  for (auto& [path, node] : names_) {
    node->locked = false;
    if (unsynced == Unsynced::kLost) node->bytes.resize(node->synced);
    if (unsynced == Unsynced::kGarbage) {
      for (std::size_t i = node->synced; i < node->bytes.size(); ++i) {
        node->bytes[i] = static_cast<std::uint8_t>(i * 131 + 89);
      }
    }
    node->synced = node->bytes.size();
  }
  durable_names_ = names_;
}

void MemoryFiles::LosePowerAtRandom(std::mt19937& random) {
  constexpr std::size_t kBlock = 64;
  ++generation_;
  if (random() % 2 == 0) names_ = durable_names_;
  for (auto& [path, node] : names_) {
    node->locked = false;
    std::vector<std::uint8_t>& bytes = node->bytes;
    bytes.resize(node->synced + random() % (bytes.size() - node->synced + 1));
    for (std::size_t at = node->synced; at < bytes.size(); at = (at / kBlock + 1) * kBlock) {
      const std::size_t end = std::min(bytes.size(), (at / kBlock + 1) * kBlock);
      const auto fate = random() % 3;
      for (std::size_t i = at; i < end && fate != 0; ++i) {
        bytes[i] = fate == 1 ? std::uint8_t{0} : static_cast<std::uint8_t>(random());
      }
    }
    node->synced = bytes.size();
  }
  durable_names_ = names_;
}

std::vector<std::uint8_t>& MemoryFiles::Contents(const std::string& path) {
  return names_.at(path)->bytes;
}

void MemoryFiles::Put(const std::string& path, const std::vector<std::uint8_t>& bytes) {
  auto node = std::make_shared<Node>();
  node->bytes = bytes;
  node->synced = bytes.size();
  names_[path] = node;
  durable_names_[path] = node;
}

std::uint64_t MemoryFiles::TotalBytes() const {
  std::uint64_t total = 0;
  for (const auto& [path, node] : names_) total += node->bytes.size();
  return total;
}

Result<std::unique_ptr<AppendFile>> MemoryFiles::Create(const std::string& path) {
  RETURN_IF_ERROR(CountCall("create " + path));
  if (names_.contains(path)) {
    return Status(ErrorKind::kAlreadyExists, "create " + path + ": File exists");
  }
  auto node = std::make_shared<Node>();
  names_[path] = node;
  return std::unique_ptr<AppendFile>(std::make_unique<MemoryAppendFile>(*this, node, path));
}

Result<std::unique_ptr<ReadFile>> MemoryFiles::Open(const std::string& path) {
  const auto found = names_.find(path);
  if (found == names_.end()) return NoSuchFile("open " + path);
  return std::unique_ptr<ReadFile>(std::make_unique<MemoryReadFile>(found->second));
}

Status MemoryFiles::Rename(const std::string& from, const std::string& to) {
  RETURN_IF_ERROR(CountCall("rename " + from));
  const auto found = names_.find(from);
  if (found == names_.end()) return NoSuchFile("rename " + from);
  names_[to] = found->second;
  names_.erase(from);
  return Status::Ok();
}

Status MemoryFiles::Remove(const std::string& path) {
  RETURN_IF_ERROR(CountCall("remove " + path));
  return names_.erase(path) == 1 ? Status::Ok() : NoSuchFile("remove " + path);
}

bool MemoryFiles::Exists(const std::string& path) { return names_.contains(path); }

Result<FileInfo> MemoryFiles::Look(const std::string& path) {
  const auto found = names_.find(path);
  if (found == names_.end()) return NoSuchFile("look at " + path);
  return FileInfo{true, found->second->bytes.size()};
}

PathKind MemoryFiles::KindOf(const std::string& path) {
  return Exists(path) ? PathKind::kFile : PathKind::kNothing;
}

Status MemoryFiles::MakeDirectory(const std::string& path) {
  return CountCall("create folder " + path);
}

Result<std::vector<std::string>> MemoryFiles::List(const std::string& directory) {
  if (names_.contains(directory)) {
    return Status(ErrorKind::kIo, "read folder " + directory + ": it is a file");
  }
  std::vector<std::string> names;
  for (const auto& [path, node] : names_) {
    if (DirectoryOf(path) == directory) names.push_back(FileNameOf(path));
  }
  return names;
}

Status MemoryFiles::SyncDirectory(const std::string& directory) {
  RETURN_IF_ERROR(CountCall("sync folder " + directory));
  std::erase_if(durable_names_,
                [&](const auto& entry) { return DirectoryOf(entry.first) == directory; });
  for (const auto& entry : names_) {
    if (DirectoryOf(entry.first) == directory) durable_names_.insert(entry);
  }
  return Status::Ok();
}

Result<std::uint64_t> MemoryFiles::FreeBytes(const std::string&) {
  return capacity_ - std::min(capacity_, TotalBytes());
}

Result<std::unique_ptr<FileLock>> MemoryFiles::Lock(const std::string& path) {
  const auto found = names_.find(path);
  if (found == names_.end()) return NoSuchFile("lock " + path);
  if (found->second->locked) {
    return Status(ErrorKind::kBusy, path + ": in use by another program");
  }
  return std::unique_ptr<FileLock>(std::make_unique<MemoryLock>(found->second));
}

bool MemoryFiles::IsLocked(const std::string& path) {
  const auto found = names_.find(path);
  return found != names_.end() && found->second->locked;
}

}  // namespace proofdrive::testing
