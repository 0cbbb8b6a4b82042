// Writes CAN frames as pcapng (IETF draft-ietf-opsawg-pcapng), link type 227, little endian,
// nanoseconds: one section, one interface per channel, the statistics of each interface at the end.
#pragma once

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "core/base/files.h"
#include "core/base/result.h"
#include "core/frame/frame.h"
#include "session/model/header.h"

namespace proofdrive::output {

// Writes whole blocks only, so that the file is a valid capture after every Flush, also when
// nothing follows. One thread at a time.
class CaptureWriter {
 public:
  // Creates `path`; `application` is "proofdrive 0.1.0". `files` must outlive the writer.
  // kAlreadyExists: nothing is overwritten.
  static Result<std::unique_ptr<CaptureWriter>> Create(Files& files, const std::string& path,
                                                       const std::string& application);

  // REQUIRES: not added before. Its frames may follow.
  Status AddChannel(const session::Channel& channel);
  // `dropped_before`: frames of this channel lost since the one before. kInvalidArgument: a channel
  // that was not added, or a time before 1970, which the format cannot hold.
  Status AddFrame(const Frame& frame, std::uint64_t dropped_before = 0);
  // A note at an instant, as a comment on interface statistics, which is the one place where a
  // comment has a time of its own. REQUIRES: a channel was added.
  Status AddMark(WallTime time, const std::string& text);
  // Frames lost on a channel after its last frame; they show in its statistics.
  void AddTrailingDrops(std::uint8_t channel, std::uint64_t count);

  // Hands everything added so far to the file.
  Status Flush();
  // Writes the statistics, flushes and syncs. No call is allowed afterwards.
  Status Finish();
  std::uint64_t bytes() const { return file_->size() + buffer_.size(); }

 private:
  struct Interface {
    bool known = false;
    std::uint32_t number = 0;
    std::uint64_t frames = 0;
    std::uint64_t drops = 0;
    std::uint64_t first_ns = 0;
    std::uint64_t last_ns = 0;
  };

  explicit CaptureWriter(std::unique_ptr<AppendFile> file) : file_(std::move(file)) {}
  void PutSection(const std::string& application);
  void PutStatistics(const Interface& interface);
  Status FlushIfLarge();

  std::unique_ptr<AppendFile> file_;
  std::vector<std::uint8_t> buffer_;
  std::vector<Interface> interfaces_ = std::vector<Interface>(256);  // by channel number
  std::uint32_t interface_count_ = 0;
};

}  // namespace proofdrive::output
