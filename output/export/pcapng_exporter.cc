#include "output/export/pcapng_exporter.h"

#include <array>
#include <cstddef>
#include <vector>

#include "analysis/pass/pass.h"
#include "core/base/text.h"
#include "output/pcapng/writer.h"

namespace proofdrive::output {
namespace {

constexpr std::uint64_t kFramesBetweenProgress = 1024;

// Frames lost on one channel, in order of time.
struct Drops {
  std::vector<session::Event> events;
  std::size_t next = 0;
};

// One export. A mark is written before the first frame that is not earlier, losses with the first
// frame of their channel that is not earlier.
class PcapngExport : private analysis::FrameConsumer {
 public:
  PcapngExport(session::Reader& reader, const ExportOptions& options)
      : reader_(reader), options_(options) {}

  Status Run(Files& files);
  ExportReport& report() { return report_; }
  bool created() const { return writer_ != nullptr; }

 private:
  Status AddChannels();
  void SortEvents();
  bool OnFrame(const analysis::DecodedFrame& decoded) override {
    failed_ = AddFrame(decoded.frame);
    return failed_.ok();
  }
  Status AddFrame(const Frame& frame);
  // Marks up to `time`, or all that are left.
  Status WriteMarks(const WallTime* time);
  // Frames lost on the channel up to `time`, or all that are left.
  static std::uint64_t TakeDrops(Drops& drops, const WallTime* time);
  Status Finish();

  session::Reader& reader_;
  const ExportOptions& options_;
  std::unique_ptr<CaptureWriter> writer_;
  std::vector<session::Event> marks_;
  std::size_t next_mark_ = 0;
  std::array<Drops, 256> drops_;
  std::uint64_t left_out_ = 0;
  ExportReport report_;
  Status failed_;
};

Status PcapngExport::Run(Files& files) {
  ASSIGN_OR_RETURN(writer_, CaptureWriter::Create(files, options_.target, options_.software));
  RETURN_IF_ERROR(AddChannels());
  SortEvents();
  analysis::Pass pass(reader_, nullptr);
  pass.Add(*this);
  RETURN_IF_ERROR(pass.Run());
  RETURN_IF_ERROR(failed_);
  return Finish();
}

Status PcapngExport::AddChannels() {
  for (const session::Channel& channel : reader_.header().channels) {
    RETURN_IF_ERROR(writer_->AddChannel(channel));
  }
  return Status::Ok();
}

void PcapngExport::SortEvents() {
  const auto& channels = reader_.header().channels;
  for (const session::Event& event : reader_.events()) {
    if (event.kind == session::EventKind::kMark && !channels.empty()) {
      marks_.push_back(event);
      ++report_.marks;
    } else if (event.kind == session::EventKind::kDrops && !channels.empty()) {
      // Losses before the channels were told apart are written to the first.
      drops_[event.channel.value_or(channels.front().number)].events.push_back(event);
      report_.drops += event.count;
    } else {
      ++left_out_;
    }
  }
}

Status PcapngExport::AddFrame(const Frame& frame) {
  RETURN_IF_ERROR(WriteMarks(&frame.time));
  const std::uint64_t dropped = TakeDrops(drops_[frame.channel], &frame.time);
  RETURN_IF_ERROR(writer_->AddFrame(frame, dropped));
  ++report_.frames;
  if (options_.progress && report_.frames % kFramesBetweenProgress == 0) {
    options_.progress(report_.frames, reader_.frame_count());
  }
  return Status::Ok();
}

Status PcapngExport::WriteMarks(const WallTime* time) {
  for (; next_mark_ < marks_.size(); ++next_mark_) {
    const session::Event& mark = marks_[next_mark_];
    if (time != nullptr && mark.time > *time) break;
    RETURN_IF_ERROR(writer_->AddMark(mark.time, mark.text));
  }
  return Status::Ok();
}

std::uint64_t PcapngExport::TakeDrops(Drops& drops, const WallTime* time) {
  std::uint64_t count = 0;
  for (; drops.next < drops.events.size(); ++drops.next) {
    const session::Event& event = drops.events[drops.next];
    if (time != nullptr && event.time > *time) break;
    count += event.count;
  }
  return count;
}

Status PcapngExport::Finish() {
  RETURN_IF_ERROR(WriteMarks(nullptr));
  for (std::size_t channel = 0; channel < drops_.size(); ++channel) {
    writer_->AddTrailingDrops(static_cast<std::uint8_t>(channel),
                              TakeDrops(drops_[channel], nullptr));
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
