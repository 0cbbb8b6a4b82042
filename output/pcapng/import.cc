#include "output/pcapng/import.h"

#include <algorithm>
#include <memory>

#include "core/base/text.h"
#include "output/pcapng/blocks.h"
#include "output/pcapng/intake.h"
#include "output/pcapng/open_capture.h"
#include "output/pcapng/time_resolution.h"
#include "session/writer.h"

namespace proofdrive::output {
namespace {

// Frames and events handed to the session at a time.
constexpr std::size_t kBatch = 4096;
// A clock that steps more often than this is only counted from there on.
constexpr std::uint64_t kMaxStepEvents = 1000;

class Import {
 public:
  Import(Files& files, const ImportOptions& options)
      : files_(files),
        options_(options),
        merger_([this](const Frame& frame) { frames_.push_back(frame); }) {}
  ~Import() {
    writer_.reset();
    // Only a file this object created; the input is still there to be imported again.
    if (created_ && !finished_) (void)files_.Remove(options_.session);
  }
  Import(const Import&) = delete;
  Import& operator=(const Import&) = delete;

  Result<ImportReport> Run();

 private:
  Status ReadAll();
  void Take(const CaptureItem& item);
  void CountFrame(const Frame& frame);
  void NoteStep(const ChannelStep& step);
  Status WriteIfFull();
  Status Write();
  Status CreateSession();
  Status AddNewChannels();
  session::Channel Named(session::Channel channel) const;
  Status CheckUsable() const;
  Status CheckBuses() const;
  void NoteNotices();

  Files& files_;
  const ImportOptions& options_;
  std::unique_ptr<CaptureReader> reader_;
  std::unique_ptr<session::Writer> writer_;
  Duration resolution_{1};
  bool created_ = false;
  bool finished_ = false;
  std::size_t channels_written_ = 0;
  ChannelMerger merger_;
  std::vector<Frame> frames_;
  std::vector<session::Event> events_;
  WallTime last_time_{};
  ImportReport report_;
};

Result<ImportReport> Import::Run() {
  if (files_.Exists(options_.session)) {
    return Status(ErrorKind::kAlreadyExists,
                  options_.session + " exists already; nothing was changed. Give another name");
  }
  ASSIGN_OR_RETURN(resolution_, ResolutionOf(files_, options_.capture));
  ASSIGN_OR_RETURN(reader_, OpenCapture(files_, options_.capture));
  RETURN_IF_ERROR(ReadAll());
  RETURN_IF_ERROR(CheckUsable());
  RETURN_IF_ERROR(CheckBuses());
  NoteNotices();
  RETURN_IF_ERROR(Write());
  RETURN_IF_ERROR(writer_->Finish());
  finished_ = true;
  report_.session_bytes = writer_->stats().bytes;
  return std::move(report_);
}

Status Import::ReadAll() {
  CaptureItem item;
  while (true) {
    ASSIGN_OR_RETURN(const bool more, reader_->Next(item));
    if (!more) break;
    Take(item);
    RETURN_IF_ERROR(WriteIfFull());
  }
  merger_.Flush();
  report_.merge = merger_.stats();
  report_.capture = reader_->summary();
  return Status::Ok();
}

void Import::Take(const CaptureItem& item) {
  for (const session::Event& event : item.events) {
    if (event.kind == session::EventKind::kMark) ++report_.marks;
    if (event.kind == session::EventKind::kDrops) report_.drops += event.count;
    events_.push_back(event);
  }
  if (!item.frame) return;
  CountFrame(*item.frame);
  const bool ordered = reader_->own_order();
  report_.order_kept = ordered;
  const auto step = ordered ? merger_.PassOn(*item.frame) : merger_.Add(*item.frame);
  if (step) NoteStep(*step);
}

void Import::CountFrame(const Frame& frame) {
  const auto& known = reader_->channels();
  for (std::size_t i = report_.channels.size(); i < known.size(); ++i) {
    report_.channels.push_back({Named(known[i]), 0, WallTime(), WallTime()});
  }
  ImportedChannel& channel = report_.channels[frame.channel];
  channel.first = channel.frames == 0 ? frame.time : std::min(channel.first, frame.time);
  channel.last = channel.frames == 0 ? frame.time : std::max(channel.last, frame.time);
  ++channel.frames;
  ++report_.frames;
  last_time_ = frame.time;
}

void Import::NoteStep(const ChannelStep& step) {
  if (merger_.stats().channel_steps > kMaxStepEvents) return;
  session::Event event;
  event.time = step.time;
  event.kind = session::EventKind::kClockStep;
  event.channel = step.channel;
  event.step = step.step;
  event.text = "the capture's clock of this channel went back; the order of recording was kept";
  events_.push_back(std::move(event));
}

Status Import::WriteIfFull() {
  return frames_.size() + events_.size() < kBatch ? Status::Ok() : Write();
}

Status Import::Write() {
  if (options_.progress) options_.progress(reader_->position(), reader_->size());
  if (!writer_) RETURN_IF_ERROR(CreateSession());
  RETURN_IF_ERROR(AddNewChannels());
  RETURN_IF_ERROR(writer_->Append(frames_));
  for (const session::Event& event : events_) RETURN_IF_ERROR(writer_->AddEvent(event));
  frames_.clear();
  events_.clear();
  return Status::Ok();
}

session::Channel Import::Named(session::Channel channel) const {
  const auto bus = options_.buses.find(channel.name);
  if (bus != options_.buses.end()) channel.bus = bus->second;
  return channel;
}

Status Import::CreateSession() {
  session::Header header = options_.header;
  header.source = FileNameOf(options_.capture);
  header.resolution = resolution_;
  header.started.wall = frames_.empty() ? WallTime() : frames_.front().time;
  for (const session::Channel& channel : reader_->channels()) {
    header.channels.push_back(Named(channel));
  }
  channels_written_ = header.channels.size();
  session::WriterOptions writer_options;
  writer_options.journal = false;
  ASSIGN_OR_RETURN(writer_, session::Writer::Create(files_, options_.session, std::move(header),
                                                    writer_options));
  created_ = true;
  return Status::Ok();
}

Status Import::AddNewChannels() {
  const auto& channels = reader_->channels();
  for (; channels_written_ < channels.size(); ++channels_written_) {
    RETURN_IF_ERROR(writer_->AddChannel(Named(channels[channels_written_])));
  }
  return Status::Ok();
}

Status Import::CheckUsable() const {
  if (report_.frames > 0) return Status::Ok();
  const std::vector<std::string> notices = Notices(report_.capture);
  std::string why = notices.empty() ? "" : " (" + Join(notices, "; ") + ")";
  return Status(ErrorKind::kInvalidArgument,
                options_.capture + ": no CAN frame could be read from it" + why +
                    ". Capture a CAN interface with link type 227; see docs/captures.md");
}

Status Import::CheckBuses() const {
  std::vector<std::string> names;
  for (const session::Channel& channel : reader_->channels()) names.push_back(channel.name);
  for (const auto& [name, bus] : options_.buses) {
    if (std::find(names.begin(), names.end(), name) != names.end()) continue;
    return Status(
        ErrorKind::kInvalidArgument,
        "no channel \"" + name + "\" in " + options_.capture + "; it has " + Join(names, ", "));
  }
  return Status::Ok();
}

void Import::NoteNotices() {
  report_.notices = Notices(report_.capture);
  for (const std::string& text : report_.notices) {
    session::Event event;
    event.time = last_time_;
    event.kind = session::EventKind::kNotice;
    event.text = "import: " + text;
    events_.push_back(std::move(event));
  }
}

}  // namespace

Duration ImportReport::span() const {
  WallTime first = WallTime::max();
  WallTime last = WallTime::min();
  for (const ImportedChannel& channel : channels) {
    if (channel.frames == 0) continue;
    first = std::min(first, channel.first);
    last = std::max(last, channel.last);
  }
  return last > first ? last - first : Duration(0);
}

Result<ImportReport> ImportCapture(Files& files, const ImportOptions& options) {
  return Import(files, options).Run();
}

}  // namespace proofdrive::output
