#include "tests/rig/frame_list.h"

#include <cerrno>
#include <cinttypes>
#include <utility>

#include "core/base/text.h"

namespace proofdrive::rig {

Status FrameList::Open(const std::string& path) {
  if (path.empty()) return Status::Ok();
  file_ = std::fopen(path.c_str(), "we");
  return file_ ? Status::Ok() : Status::FromErrno(errno, "create " + path);
}

FrameList::~FrameList() {
  if (file_) std::fclose(file_);
}

void FrameList::Add(const Frame& frame) {
  if (!file_) return;
  const std::int64_t ns = ToNanoseconds(frame.time);
  const std::string data = HexBytes(frame.payload(), "");
  std::fprintf(file_, "%u %" PRId64 ".%09" PRId64 " %X %02X %u %s\n", frame.channel,
               ns / 1'000'000'000, ns % 1'000'000'000, frame.id, frame.flags, frame.length,
               data.empty() ? "-" : data.c_str());
}

Status FrameList::Close() {
  if (!file_) return Status::Ok();
  const bool failed = std::ferror(file_) != 0;
  const bool closed = std::fclose(std::exchange(file_, nullptr)) == 0;
  if (failed || !closed) return Status::FromErrno(errno, "write the list of frames");
  return Status::Ok();
}

}  // namespace proofdrive::rig
