#include "output/export/frame_rows_exporter.h"

#include <algorithm>
#include <array>

#include "core/base/json.h"
#include "core/base/text.h"
#include "output/rows/value_rows.h"

namespace proofdrive::output {
namespace {

constexpr std::size_t kBufferBytes = 1 << 16;
constexpr std::uint64_t kFramesBetweenProgress = 1024;

enum class Form { kCsv, kJsonLines };

std::string_view KindOf(const Frame& frame) {
  if (frame.Is(kErrorMessage)) return "error";
  if (frame.Is(kRemote)) return "remote";
  return frame.Is(kFlexibleData) ? "fd" : "data";
}

class RowsExport {
 public:
  RowsExport(session::Reader& reader, const ExportOptions& options, Form form)
      : reader_(reader), options_(options), form_(form) {}

  Status Run(Files& files);
  ExportReport& report() { return report_; }
  bool created() const { return file_ != nullptr; }

 private:
  void GatherEvents();
  void AddFrame(const Frame& frame);
  // Marks up to `time`, or all that are left.
  void AddMarks(const WallTime* time);
  Status Flush(std::size_t above);

  session::Reader& reader_;
  const ExportOptions& options_;
  Form form_;
  std::unique_ptr<AppendFile> file_;
  std::array<std::string, 256> buses_;  // ready to print
  std::vector<session::Event> marks_;
  std::size_t next_mark_ = 0;
  std::string rows_;
  ExportReport report_;
};

Status RowsExport::Run(Files& files) {
  ASSIGN_OR_RETURN(file_, files.Create(options_.target));
  GatherEvents();
  if (form_ == Form::kCsv) rows_ = "time_s,bus,id,kind,length,data\n";
  Status failed;
  RETURN_IF_ERROR(reader_.ForEachFrame([&](const Frame& frame) {
    AddMarks(&frame.time);
    AddFrame(frame);
    failed = Flush(kBufferBytes);
    return failed.ok();
  }));
  RETURN_IF_ERROR(failed);
  AddMarks(nullptr);
  return Flush(0);
}

void RowsExport::GatherEvents() {
  for (const session::Channel& channel : reader_.header().channels) {
    const std::string& name = channel.bus.empty() ? channel.name : channel.bus;
    buses_[channel.number] = form_ == Form::kCsv ? CsvField(name) : name;
  }
  std::uint64_t left_out = 0;
  for (const session::Event& event : reader_.events()) {
    if (event.kind == session::EventKind::kMark) {
      marks_.push_back(event);
    } else {
      ++left_out;
    }
  }
  report_.marks = marks_.size();
  if (left_out == 0) return;
  report_.notices.push_back(FormatCount(left_out) +
                            " events that are not marks have no row and were left out");
}

void RowsExport::AddFrame(const Frame& frame) {
  const std::string time = FormatEpochSeconds(frame.time);
  const std::string id = FormatId(frame.id, frame.flags);
  const std::string data = HexBytes(frame.payload(), "");
  const std::string length = std::to_string(frame.length);
  const std::string& bus = buses_[frame.channel];
  if (form_ == Form::kCsv) {
    rows_ += time + "," + bus + "," + id + ",";
    rows_ += KindOf(frame);
    rows_ += "," + length + "," + data + "\n";
  } else {
    rows_ += "{\"time_s\":" + time + ",\"bus\":" + JsonString(bus) + ",\"id\":\"" + id +
             "\",\"kind\":\"" + std::string(KindOf(frame)) + "\",\"length\":" + length +
             ",\"data\":\"" + data + "\"}\n";
  }
  ++report_.frames;
  if (options_.progress && report_.frames % kFramesBetweenProgress == 0) {
    options_.progress(report_.frames, reader_.frame_count());
  }
}

void RowsExport::AddMarks(const WallTime* time) {
  for (; next_mark_ < marks_.size(); ++next_mark_) {
    const session::Event& mark = marks_[next_mark_];
    if (time != nullptr && mark.time > *time) break;
    const std::string at = FormatEpochSeconds(mark.time);
    rows_ +=
        form_ == Form::kCsv
            ? at + ",,,mark,," + CsvField(mark.text) + "\n"
            : "{\"time_s\":" + at + ",\"kind\":\"mark\",\"text\":" + JsonString(mark.text) + "}\n";
  }
}

Status RowsExport::Flush(std::size_t above) {
  if (rows_.size() <= above) return Status::Ok();
  report_.bytes += rows_.size();
  const Status status = file_->Append(AsBytes(rows_));
  rows_.clear();
  return status;
}

class FrameRowsExporter : public Exporter {
 public:
  explicit FrameRowsExporter(Form form) : form_(form) {}
  Result<ExportReport> Export(session::Reader& reader, Files& files,
                              const ExportOptions& options) override {
    if (files.Exists(options.target)) {
      return Status(ErrorKind::kAlreadyExists,
                    options.target + " exists already; nothing was changed. Give another name");
    }
    RowsExport run(reader, options, form_);
    const Status status = run.Run(files);
    if (status.ok()) return std::move(run.report());
    if (run.created()) (void)files.Remove(options.target);
    return status;
  }

 private:
  Form form_;
};

}  // namespace

std::unique_ptr<Exporter> MakeFrameCsvExporter() {
  return std::make_unique<FrameRowsExporter>(Form::kCsv);
}

std::unique_ptr<Exporter> MakeFrameJsonLinesExporter() {
  return std::make_unique<FrameRowsExporter>(Form::kJsonLines);
}

}  // namespace proofdrive::output
