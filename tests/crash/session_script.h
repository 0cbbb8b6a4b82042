// A small recording that the crash tests run again and again, and what came of it.
#pragma once

#include <algorithm>
#include <memory>
#include <string>
#include <vector>

#include "session/reader.h"
#include "session/recovery.h"
#include "session/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

namespace proofdrive::session::crash {

using ::proofdrive::testing::IsError;
using ::proofdrive::testing::IsOk;
using ::proofdrive::testing::MemoryFiles;
using ::proofdrive::testing::Unsynced;

inline constexpr const char* kPath = "disk/drive.session";
inline constexpr const char* kJournal = "disk/drive.journal";
inline constexpr const char* kRecovered = "disk/drive.recovered.session";
inline constexpr std::size_t kFramesPerChunk = 8;
inline constexpr std::size_t kSteps = 7;
inline constexpr std::size_t kFramesPerStep = 5;
inline constexpr std::size_t kFrames = kSteps * kFramesPerStep;

inline Frame FrameNumber(std::size_t i) {
  Frame frame;
  frame.time = WallFromNanoseconds(1'700'000'000'000'000'000 + static_cast<std::int64_t>(i) * 1000);
  frame.id = i % 3 == 0 ? 0x2A1 : 0x3B4;
  frame.length = 4;
  for (std::uint8_t b = 0; b < 4; ++b) frame.data[b] = static_cast<std::uint8_t>(i * 7 + b);
  return frame;
}

inline std::vector<Frame> AllFrames() {
  std::vector<Frame> frames;
  for (std::size_t i = 0; i < kFrames; ++i) frames.push_back(FrameNumber(i));
  return frames;
}

inline Event MarkNumber(std::size_t i) {
  Event event;
  event.time = WallFromNanoseconds(static_cast<std::int64_t>(i));
  event.kind = EventKind::kMark;
  event.text = "mark " + std::to_string(i);
  return event;
}

inline Header SmallHeader() {
  Header header;
  header.id = "00112233445566778899aabbccddeeff";
  header.name = "small";
  header.definitions.push_back({"bench.yaml", "vehicle: Bramble Seven (invented)\n"});
  return header;
}

inline WriterOptions SmallChunks(bool journal = true) {
  WriterOptions options;
  options.frames_per_chunk = kFramesPerChunk;
  options.journal = journal;
  return options;
}

// Runs the recording step by step. Stops at the first call that fails, unless told to repeat.
class Script {
 public:
  // Every call of Append becomes a record of the journal.
  explicit Script(MemoryFiles& files, std::size_t frames_per_append = kFramesPerStep)
      : files_(files), frames_per_append_(frames_per_append) {}

  Status Create() {
    auto writer = Writer::Create(files_, kPath, SmallHeader(), SmallChunks());
    if (writer.ok()) writer_ = std::move(*writer);
    return writer.status();
  }

  // One step: five frames, a mark, a sync.
  Status Step() {
    RETURN_IF_ERROR(AppendRest());
    if (marks_ < step_ + 1) {
      RETURN_IF_ERROR(writer_->AddEvent(MarkNumber(marks_)));
      ++marks_;
    }
    RETURN_IF_ERROR(writer_->Sync());
    synced_frames_ = frames();
    synced_marks_ = marks_;
    ++step_;
    return Status::Ok();
  }

  Status Run(std::size_t steps = kSteps) {
    if (!writer_) RETURN_IF_ERROR(Create());
    while (step_ < steps) RETURN_IF_ERROR(Step());
    return Status::Ok();
  }
  Status RunAndFinish() {
    RETURN_IF_ERROR(Run());
    RETURN_IF_ERROR(writer_->Finish());
    return Status::Ok();
  }

  bool created() const { return writer_ != nullptr; }
  Writer& writer() { return *writer_; }
  // Taken by the writer so far, and the part of them that a successful Sync made durable.
  std::size_t frames() const { return writer_ ? writer_->stats().frames : 0; }
  std::size_t marks() const { return marks_; }
  std::size_t synced_frames() const { return synced_frames_; }
  std::size_t synced_marks() const { return synced_marks_; }

 private:
  Status AppendRest() {
    const std::vector<Frame> all = AllFrames();
    const std::size_t end = (step_ + 1) * kFramesPerStep;
    while (frames() < end) {
      const std::size_t count = std::min(frames_per_append_, end - frames());
      RETURN_IF_ERROR(writer_->Append({all.data() + frames(), count}));
    }
    return Status::Ok();
  }

  MemoryFiles& files_;
  const std::size_t frames_per_append_;
  std::unique_ptr<Writer> writer_;
  std::size_t step_ = 0;
  std::size_t marks_ = 0;
  std::size_t synced_frames_ = 0;
  std::size_t synced_marks_ = 0;
};

inline std::vector<Frame> FramesOf(Reader& reader) {
  std::vector<Frame> frames;
  EXPECT_OK(reader.ForEachFrame([&](const Frame& frame) {
    frames.push_back(frame);
    return true;
  }));
  return frames;
}

// The first `count` frames of the recording.
inline std::vector<Frame> FirstFrames(std::size_t count) {
  std::vector<Frame> frames = AllFrames();
  frames.resize(std::min(count, frames.size()));
  return frames;
}

inline bool IsPrefix(const std::vector<Frame>& frames) {
  return frames == FirstFrames(frames.size());
}

// Recover() makes a complete session with the same frames and leaves the original alone.
inline void ExpectRecoverable(MemoryFiles& files, const std::vector<Frame>& frames) {
  const std::vector<std::uint8_t> before = files.Contents(kPath);
  auto report = Recover(files, kPath, kRecovered);
  ASSERT_OK(report);
  auto reader = Reader::Open(files, kRecovered);
  ASSERT_OK(reader);
  EXPECT_EQ((*reader)->state(), State::kComplete);
  EXPECT_TRUE((*reader)->losses().empty());
  EXPECT_EQ(FramesOf(**reader), frames);
  EXPECT_EQ((*reader)->events().back().kind, EventKind::kNotice);
  EXPECT_EQ(files.Contents(kPath), before);
  ASSERT_OK(files.Remove(kRecovered));
}

}  // namespace proofdrive::session::crash
