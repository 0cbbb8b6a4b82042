#include "output/export/pcapng_exporter.h"

#include <array>
#include <cstddef>

#include "core/base/text.h"
#include "output/pcapng/writer.h"

namespace proofdrive::output {
namespace {

constexpr std::uint64_t kFramesBetweenProgress = 1024;

// One export. Events are written when the frames reach their time: a mark before the first frame
// that is not earlier, losses with the next frame of their channel.
class PcapngExport {
 public:
  PcapngExport(session::Reader& reader, const ExportOptions& options)
      : reader_(reader), options_(options) {}

  Status Run(Files& files);
  ExportReport& report() { return report_; }
  bool created() const { return writer_ != nullptr; }

 private:
  Status AddChannels();
  Status AddFrame(const Frame& frame);
  // Takes events up to `time`, or all of them.
  Status TakeEvents(const WallTime* time);
  Status TakeEvent(const session::Event& event);
  Status Finish();

  session::Reader& reader_;
  const ExportOptions& options_;
  std::unique_ptr<CaptureWriter> writer_;
  std::size_t next_event_ = 0;
  std::array<std::uint64_t, 256> pending_drops_{};
  std::uint64_t left_out_ = 0;
  ExportReport report_;
};

Status PcapngExport::Run(Files& files) {
  ASSIGN_OR_RETURN(writer_, CaptureWriter::Create(files, options_.target, options_.software));
  RETURN_IF_ERROR(AddChannels());
  Status failed;
  RETURN_IF_ERROR(reader_.ForEachFrame([&](const Frame& frame) {
    failed = AddFrame(frame);
    return failed.ok();
  }));
  RETURN_IF_ERROR(failed);
  return Finish();
}

Status PcapngExport::AddChannels() {
  for (const session::Channel& channel : reader_.header().channels) {
    RETURN_IF_ERROR(writer_->AddChannel(channel));
  }
  return Status::Ok();
}

Status PcapngExport::AddFrame(const Frame& frame) {
  RETURN_IF_ERROR(TakeEvents(&frame.time));
  RETURN_IF_ERROR(writer_->AddFrame(frame, pending_drops_[frame.channel]));
  pending_drops_[frame.channel] = 0;
  ++report_.frames;
  if (options_.progress && report_.frames % kFramesBetweenProgress == 0) {
    options_.progress(report_.frames, reader_.frame_count());
  }
  return Status::Ok();
}

Status PcapngExport::TakeEvents(const WallTime* time) {
  const auto& events = reader_.events();
  while (next_event_ < events.size() && (time == nullptr || events[next_event_].time <= *time)) {
    RETURN_IF_ERROR(TakeEvent(events[next_event_++]));
  }
  return Status::Ok();
}

Status PcapngExport::TakeEvent(const session::Event& event) {
  const auto& channels = reader_.header().channels;
  if (event.kind == session::EventKind::kMark && !channels.empty()) {
    ++report_.marks;
    return writer_->AddMark(event.time, event.text);
  }
  if (event.kind == session::EventKind::kDrops && !channels.empty()) {
    // Losses before the channels were told apart are written to the first.
    pending_drops_[event.channel.value_or(channels.front().number)] += event.count;
    report_.drops += event.count;
    return Status::Ok();
  }
  ++left_out_;
  return Status::Ok();
}

Status PcapngExport::Finish() {
  RETURN_IF_ERROR(TakeEvents(nullptr));
  for (std::size_t channel = 0; channel < pending_drops_.size(); ++channel) {
    writer_->AddTrailingDrops(static_cast<std::uint8_t>(channel), pending_drops_[channel]);
  }
  RETURN_IF_ERROR(writer_->Finish());
  report_.bytes = writer_->bytes();
  if (left_out_ > 0) {
    report_.notices.push_back(FormatCount(left_out_) +
                              " events that are neither marks nor losses have no place in pcapng "
                              "and were left out");
  }
  return Status::Ok();
}

class PcapngExporter : public Exporter {
 public:
  Result<ExportReport> Export(session::Reader& reader, Files& files,
                              const ExportOptions& options) override {
    if (files.Exists(options.target)) {
      return Status(ErrorKind::kAlreadyExists,
                    options.target + " exists already; nothing was changed. Give another name");
    }
    PcapngExport run(reader, options);
    const Status status = run.Run(files);
    if (status.ok()) return std::move(run.report());
    if (run.created()) (void)files.Remove(options.target);
    return status;
  }
};

}  // namespace

std::unique_ptr<Exporter> MakePcapngExporter() { return std::make_unique<PcapngExporter>(); }

}  // namespace proofdrive::output
