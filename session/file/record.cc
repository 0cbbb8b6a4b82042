#include "session/file/record.h"

#include <algorithm>

#include "core/digests/crc32c.h"

namespace proofdrive::session {
namespace {

constexpr std::size_t kWindowBytes = std::size_t{1} << 20;

std::uint32_t RecordCrc(RecordType type, ByteSpan payload, std::uint32_t salt) {
  std::vector<std::uint8_t> head;
  ByteWriter writer(head);
  writer.Put(type == RecordType::kHeader ? kHeaderSalt : salt);
  writer.Put(static_cast<std::uint32_t>(payload.size()));
  writer.Put(static_cast<std::uint32_t>(type));
  return Crc32c(payload, Crc32c(head));
}

Status NoRecord(std::uint64_t offset, const char* why) {
  return Status(ErrorKind::kCorrupt, "at byte " + std::to_string(offset) + ": " + why);
}

}  // namespace

void PutRecord(RecordType type, ByteSpan payload, std::uint32_t salt,
               std::vector<std::uint8_t>& out) {
  ByteWriter writer(out);
  writer.PutBytes(kRecordMarker);
  writer.Put(static_cast<std::uint32_t>(payload.size()));
  writer.Put(static_cast<std::uint32_t>(type));
  writer.Put(RecordCrc(type, payload, salt));
  writer.PutBytes(payload);
}

Result<ByteSpan> FileWindow::Get(std::uint64_t offset, std::size_t count) {
  const std::uint64_t available = end_ > offset ? end_ - offset : 0;
  count = static_cast<std::size_t>(std::min<std::uint64_t>(count, available));
  const bool inside = offset >= start_ && offset + count <= start_ + bytes_.size();
  if (!inside) {
    const std::size_t want =
        static_cast<std::size_t>(std::min<std::uint64_t>(std::max(count, kWindowBytes), available));
    ASSIGN_OR_RETURN(bytes_, file_.Read(offset, want));
    start_ = offset;
    count = std::min(count, bytes_.size());
  }
  return ByteSpan(bytes_).subspan(static_cast<std::size_t>(offset - start_), count);
}

Result<Record> ReadRecord(FileWindow& window, std::uint64_t offset, std::uint32_t salt) {
  ASSIGN_OR_RETURN(const ByteSpan head, window.Get(offset, kRecordHeaderBytes));
  if (head.size() < kRecordHeaderBytes) {
    return Status(ErrorKind::kTruncated, "the file ends within the head of a record");
  }
  if (!std::equal(kRecordMarker.begin(), kRecordMarker.end(), head.begin())) {
    return NoRecord(offset, "no record begins here");
  }
  ByteReader reader(head.subspan(kRecordMarker.size()));
  const auto length = reader.Get<std::uint32_t>();
  const auto type = static_cast<RecordType>(reader.Get<std::uint32_t>());
  const auto crc = reader.Get<std::uint32_t>();
  if (length > kMaxRecordBytes) return NoRecord(offset, "the length of the record makes no sense");
  if (offset + kRecordHeaderBytes + length > window.end()) {
    return Status(ErrorKind::kTruncated, "the file ends within a record");
  }
  ASSIGN_OR_RETURN(const ByteSpan payload, window.Get(offset + kRecordHeaderBytes, length));
  if (payload.size() < length) {
    return Status(ErrorKind::kTruncated, "the file ends within a record");
  }
  if (RecordCrc(type, payload, salt) != crc) return NoRecord(offset, "checksum does not match");
  return Record{type, offset, payload};
}

Result<bool> RecordScanner::Next(Record& record) {
  const std::uint64_t begin = position_;
  while (position_ < window_.end()) {
    Result<Record> found = ReadRecord(window_, position_, salt_);
    if (found.ok()) {
      record = *found;
      AddGap(begin, position_);
      position_ = record.end();
      return true;
    }
    const ErrorKind kind = found.status().kind();
    if (kind != ErrorKind::kCorrupt && kind != ErrorKind::kTruncated) return found.status();
    ASSIGN_OR_RETURN(position_, FindMarker(position_ + 1));
  }
  AddGap(begin, position_);
  return false;
}

// The next place where a record may begin. Every candidate costs a checksum over the length it
// claims; a file made to waste time with them is given up after a few times its size.
Result<std::uint64_t> RecordScanner::FindMarker(std::uint64_t from) {
  while (from < window_.end()) {
    ASSIGN_OR_RETURN(const ByteSpan bytes, window_.Get(from, kWindowBytes));
    const auto found =
        std::search(bytes.begin(), bytes.end(), kRecordMarker.begin(), kRecordMarker.end());
    if (found != bytes.end()) {
      const auto at = from + static_cast<std::uint64_t>(found - bytes.begin());
      ASSIGN_OR_RETURN(const ByteSpan head, window_.Get(at, kRecordHeaderBytes));
      ByteReader reader(head);
      reader.Skip(kRecordMarker.size());
      wasted_ += std::min<std::uint64_t>(reader.Get<std::uint32_t>(), kMaxRecordBytes);
      return wasted_ <= 4 * window_.end() + kMaxRecordBytes ? at : window_.end();
    }
    if (from + bytes.size() >= window_.end() || bytes.size() < kRecordMarker.size()) break;
    from += bytes.size() - (kRecordMarker.size() - 1);
  }
  return window_.end();
}

void RecordScanner::AddGap(std::uint64_t from, std::uint64_t to) {
  if (to > from) gaps_.push_back({from, to - from});
}

}  // namespace proofdrive::session
