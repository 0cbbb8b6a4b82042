#include "daemon/sources/replay_source.h"

#include <algorithm>
#include <array>
#include <utility>

#include "daemon/sources/paced_argument.h"
#include "daemon/sources/paced_thread.h"
#include "session/model/names.h"
#include "session/reader.h"

namespace proofdrive::daemon {
namespace {

constexpr std::size_t kLargestBatch = 1024;
// Frames closer together than this are delivered together.
constexpr Duration kBatchTime = std::chrono::milliseconds(20);

class ReplaySource : public FrameSource {
 public:
  ReplaySource(std::unique_ptr<session::Reader> reader, const PacedArgument& argument,
               const SourceContext& context)
      : reader_(std::move(reader)),
        log_(context.log),
        path_(argument.name),
        batch_time_(argument.speed == 0 ? Duration(0) : kBatchTime),
        thread_(argument.speed) {
    for (session::Channel channel : reader_->header().channels) {
      const auto number = static_cast<std::uint8_t>(context.first_channel + channels_.size());
      numbers_[channel.number] = number;
      channel.number = number;
      channel.timestamps = "file";
      channels_.push_back(channel);
    }
  }
  ~ReplaySource() override { thread_.Stop(); }

  std::vector<session::Channel> channels() const override { return channels_; }
  bool live() const override { return false; }
  Status Start(SourceSink& sink) override {
    thread_.Start([this, &sink] { Deliver(sink); });
    return Status::Ok();
  }
  void Stop() override { thread_.Stop(); }
  bool finished() const override { return thread_.finished(); }

 private:
  void Deliver(SourceSink& sink) {
    std::vector<Frame> batch;
    const WallTime first = reader_->first_time();
    const Status status = reader_->ForEachFrame([&](const Frame& frame) {
      const bool apart = !batch.empty() && frame.time - batch.front().time > batch_time_;
      if (batch.size() >= kLargestBatch || (batch_time_ > Duration(0) && apart)) {
        if (!thread_.WaitFor(batch.back().time - first)) return false;
        sink.OnFrames(batch);
        batch.clear();
      }
      batch.push_back(frame);
      batch.back().channel = numbers_[frame.channel];
      return true;
    });
    if (!batch.empty() && thread_.WaitFor(batch.back().time - first)) sink.OnFrames(batch);
    Report(sink, status);
  }

  // What the recording had lost belongs into the new one and before the user's eyes.
  void Report(SourceSink& sink, const Status& status) {
    std::vector<std::string> lines;
    for (const session::Loss& loss : reader_->losses()) lines.push_back(loss.what);
    if (!status.ok()) lines.push_back(status.message());
    for (const std::string& line : lines) {
      session::Event event;
      event.time = reader_->last_time();
      event.text = "replay of " + path_ + ": " + line;
      log_.Warning(event.text);
      sink.OnEvent(event);
    }
  }

  std::unique_ptr<session::Reader> reader_;
  Log& log_;
  const std::string path_;
  const Duration batch_time_;
  std::vector<session::Channel> channels_;
  std::array<std::uint8_t, 256> numbers_{};
  PacedThread thread_;
};

Result<PacedArgument> CheckFile(const std::string& argument) {
  // Only what follows the ending can be a speed: "box2.session" is a name.
  if (argument.ends_with(session::kSessionEnding)) return PacedArgument{argument, 1.0};
  ASSIGN_OR_RETURN(PacedArgument paced, ParsePacedArgument(argument));
  if (paced.name.ends_with(session::kSessionEnding)) return paced;
  return Status(ErrorKind::kInvalidArgument,
                "only sessions can be replayed: the name of the file must end in " +
                    std::string(session::kSessionEnding));
}

}  // namespace

Result<std::string> CheckReplayArgument(const std::string& argument) {
  ASSIGN_OR_RETURN(const PacedArgument paced, CheckFile(argument));
  return paced.name;
}

Result<std::unique_ptr<FrameSource>> MakeReplaySource(const std::string& argument,
                                                      const SourceContext& context) {
  ASSIGN_OR_RETURN(const PacedArgument paced, CheckFile(argument));
  ASSIGN_OR_RETURN(auto reader, session::Reader::Open(context.files, paced.name));
  return std::unique_ptr<FrameSource>(
      std::make_unique<ReplaySource>(std::move(reader), paced, context));
}

}  // namespace proofdrive::daemon
