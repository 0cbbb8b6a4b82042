// The files of one recording: its first part and, when it is long, those that follow.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <span>
#include <string>

#include "core/base/clock.h"
#include "core/base/files.h"
#include "core/base/log.h"
#include "daemon/recording/recording_policy.h"
#include "session/writer.h"

namespace proofdrive::daemon {

struct RecordingFilesSetup {
  PartLimits limits;  // without any it is a session of its own
  bool live = true;   // lengths count this machine's time, else the frames' times
  // Called when a file was begun.
  std::function<void(const std::string& path, const session::Header&)> begun;
};

// Whether a failure says that the file is not what or where it was (AppendFile::CheckPlace).
bool IsFileLost(const Status& status);

// One thread. Everything given must outlive the object.
class RecordingFiles {
 public:
  // After a part could not be begun it is tried again this much later.
  static constexpr Duration kRetry = std::chrono::seconds(10);

  // Creates the first part at `path`.
  static Result<std::unique_ptr<RecordingFiles>> Create(Files& files, const Clock& clock, Log& log,
                                                        const std::string& path,
                                                        session::Header header,
                                                        RecordingFilesSetup setup);

  // As session::Writer: on failure stats() tells what is stored. A file that cannot grow any more
  // is left as it is, and the recording goes on in a new one.
  Status Append(std::span<const Frame> frames);
  Status AddEvent(const session::Event& event);
  // Looks first whether the file is still there: one that was removed, moved, replaced or changed
  // is given up, and the recording goes on in a new one.
  Status Sync();
  // Begins the next part when the present one is long or large enough. A failure is logged, and the
  // present part goes on.
  void Tick();
  // Completes the last part.
  Status Finish();

  // What happened to files of this recording; empty: nothing.
  const std::string& trouble() const { return trouble_; }
  const std::string& first_path() const { return first_path_; }
  // Of the part that is being written.
  const std::string& path() const { return path_; }
  std::uint32_t parts() const { return part_; }
  // Sums over all parts that are there.
  session::WriterStats stats() const;
  // Frames that survive a power cut now.
  std::uint64_t durable() const { return finished_.frames + durable_; }

 private:
  RecordingFiles(Files& files, const Clock& clock, Log& log, std::string path,
                 RecordingFilesSetup setup);

  void TellBegun() const;
  bool IsLarge() const;
  void BeginNextPart();
  Status GoOnInNewFile(const std::string& why);
  // When `status` says that the file cannot grow: goes on in a new one; else gives it back.
  Status Outgrow(const Status& status);

  Files& files_;
  const Clock& clock_;
  Log& log_;
  std::string first_path_;
  const RecordingFilesSetup setup_;
  std::string path_;
  std::unique_ptr<session::Writer> writer_;
  std::uint32_t part_ = 1;
  SteadyTime part_started_;
  std::optional<WallTime> part_first_frame_;
  std::optional<SteadyTime> retry_at_;
  std::string trouble_;
  session::WriterStats finished_;  // sums over the parts before
  std::uint64_t durable_ = 0;      // of the present part
};

}  // namespace proofdrive::daemon
