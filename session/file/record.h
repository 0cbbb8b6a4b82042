// The frame around every protobuf message of a session file or journal (layout.h): written whole,
// checked by CRC-32C, found again after damage by its marker.
#pragma once

#include <cstdint>
#include <vector>

#include "core/base/bytes.h"
#include "core/base/files.h"
#include "core/base/result.h"
#include "session/model/layout.h"

namespace proofdrive::session {

// Appends one record to `out`. REQUIRES: payload.size() <= kMaxRecordBytes.
void PutRecord(RecordType type, ByteSpan payload, std::uint32_t salt,
               std::vector<std::uint8_t>& out);

struct Record {
  RecordType type{};
  std::uint64_t offset = 0;  // of the marker, in the file
  ByteSpan payload;          // valid until the next read through the same window
  std::uint64_t end() const { return offset + kRecordHeaderBytes + payload.size(); }
};

// Reads a file through one buffer, so that neighbouring small reads cost one system call.
class FileWindow {
 public:
  // `file` must outlive the window. Bytes from `end` on are not looked at.
  FileWindow(ReadFile& file, std::uint64_t end) : file_(file), end_(end) {}
  // Up to `count` bytes from `offset`, fewer at the end; valid until the next call.
  Result<ByteSpan> Get(std::uint64_t offset, std::size_t count);
  std::uint64_t end() const { return end_; }

 private:
  ReadFile& file_;
  std::uint64_t end_;
  std::uint64_t start_ = 0;
  std::vector<std::uint8_t> bytes_;
};

// The record at `offset`. kTruncated: it would reach beyond the end; kCorrupt: no marker, an absurd
// length or a wrong checksum; other kinds: reading failed.
Result<Record> ReadRecord(FileWindow& window, std::uint64_t offset, std::uint32_t salt);

// Bytes that belong to no good record.
struct Gap {
  std::uint64_t offset = 0;
  std::uint64_t bytes = 0;
};

// Walks over all good records of a file, whatever lies between them.
class RecordScanner {
 public:
  // Starts at `begin`. `window` must outlive the scanner.
  RecordScanner(FileWindow& window, std::uint64_t begin, std::uint32_t salt)
      : window_(window), position_(begin), salt_(salt) {}
  // False at the end. Errors only when reading fails.
  Result<bool> Next(Record& record);
  // Found so far, in order; one that reaches the end of the file is the torn tail.
  const std::vector<Gap>& gaps() const { return gaps_; }

 private:
  Result<std::uint64_t> FindMarker(std::uint64_t from);
  void AddGap(std::uint64_t from, std::uint64_t to);

  FileWindow& window_;
  std::uint64_t position_;
  std::uint32_t salt_;
  std::uint64_t wasted_ = 0;  // bytes of candidates that turned out to be no records
  std::vector<Gap> gaps_;
};

}  // namespace proofdrive::session
