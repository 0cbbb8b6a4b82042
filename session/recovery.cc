#include "session/recovery.h"

#include <algorithm>

#include "core/base/text.h"
#include "session/index/contents.h"
#include "session/index/scan.h"
#include "session/recording_reader.h"
#include "session/writer.h"

namespace proofdrive::session {
namespace {

constexpr std::size_t kFramesAtOnce = 4096;

bool Overlap(std::uint64_t offset, std::uint64_t bytes, std::uint64_t other_offset,
             std::uint64_t other_bytes) {
  return offset < other_offset + other_bytes && other_offset < offset + bytes;
}

// Damage of a complete session that reading its frames does not touch. `label` begins the losses of
// this file.
Status AddHiddenDamage(Files& files, const std::string& path, const std::string& label,
                       VerifyReport& report) {
  ASSIGN_OR_RETURN(const Contents contents, LoadContents(files, path));
  if (contents.state != State::kComplete) return Status::Ok();
  FileWindow window(*contents.file, contents.file_bytes - kTrailerBytes);
  MemoryBudget budget(contents.file_bytes);
  ASSIGN_OR_RETURN(const Scan scan, ScanSession(window, contents.identity.salt, budget));
  for (const Gap& gap : scan.gaps) {
    const auto covers = [&](const auto& range) {
      return Overlap(gap.offset, gap.bytes, range.offset, range.bytes);
    };
    const auto& abandoned = contents.index.abandoned;
    if (std::any_of(abandoned.begin(), abandoned.end(), covers)) continue;
    const auto known = [&](const Loss& loss) {
      return loss.what.starts_with(label) && covers(loss);
    };
    if (std::any_of(report.losses.begin(), report.losses.end(), known)) continue;
    report.losses.push_back({Loss::Severity::kNotice, gap.offset, gap.bytes,
                             label + FormatCount(gap.bytes) + " bytes at byte " +
                                 FormatCount(gap.offset) +
                                 " are damaged, but what they hold can still be read",
                             "`proofdrive recover` writes a sound file"});
    report.state = State::kDamaged;
  }
  return Status::Ok();
}

std::string Summary(const Reader& reader, const std::string& path,
                    const std::vector<Loss>& losses) {
  std::string text =
      "recovered from " + FileNameOf(path) + " (" + std::string(StateName(reader.state())) + ")";
  if (losses.empty()) return text + ": nothing was lost";
  for (const Loss& loss : losses) text += "; " + loss.what;
  return text;
}

// Writes what the reader gives in batches.
class Copier {
 public:
  explicit Copier(Writer& writer) : writer_(writer) {}

  Status Copy(Reader& reader) {
    RETURN_IF_ERROR(reader.ForEachFrame([this](const Frame& frame) {
      batch_.push_back(frame);
      if (batch_.size() == kFramesAtOnce) Flush();
      return status_.ok();
    }));
    Flush();
    RETURN_IF_ERROR(status_);
    for (const Event& event : reader.events()) RETURN_IF_ERROR(writer_.AddEvent(event));
    return Status::Ok();
  }

 private:
  void Flush() {
    if (status_.ok()) status_ = writer_.Append(batch_);
    batch_.clear();
  }

  Writer& writer_;
  std::vector<Frame> batch_;
  Status status_;
};

Status WriteRecovered(Reader& reader, const std::string& path, Writer& writer,
                      RecoverReport& report) {
  RETURN_IF_ERROR(Copier(writer).Copy(reader));
  report.losses = reader.losses();
  Event notice;
  notice.time = reader.last_time();
  for (const Event& event : reader.events()) notice.time = std::max(notice.time, event.time);
  notice.kind = EventKind::kNotice;
  notice.text = Summary(reader, path, report.losses);
  RETURN_IF_ERROR(writer.AddEvent(notice));
  return writer.Finish();
}

}  // namespace

Result<VerifyReport> Verify(Files& files, const std::string& path) {
  ASSIGN_OR_RETURN(const auto reader, OpenRecording(files, path));
  VerifyReport report;
  RETURN_IF_ERROR(reader->ForEachFrame([&](const Frame&) {
    ++report.frames;
    return true;
  }));
  report.events = reader->events().size();
  report.losses = reader->losses();
  report.state = reader->state();
  const bool single = reader->parts().size() == 1;
  for (const PartFile& part : reader->parts()) {
    const std::string label = single ? "" : PartName(part) + ": ";
    RETURN_IF_ERROR(AddHiddenDamage(files, part.path, label, report));
  }
  return report;
}

Result<RecoverReport> Recover(Files& files, const std::string& path, const std::string& output) {
  ASSIGN_OR_RETURN(const auto reader, OpenRecording(files, path));
  if (reader->state() == State::kRecording) {
    return Status(ErrorKind::kBusy, path + ": still being recorded: stop the recording first");
  }
  WriterOptions options;
  options.journal = false;
  Header header = reader->header();
  header.part = 0;  // all parts become one
  header.recording.clear();
  header.continued = false;
  ASSIGN_OR_RETURN(const auto writer, Writer::Create(files, output, std::move(header), options));
  RecoverReport report;
  report.output = output;
  const Status status = WriteRecovered(*reader, path, *writer, report);
  if (!status.ok()) {
    (void)files.Remove(output);
    return status;
  }
  report.frames = writer->stats().frames;
  report.events = writer->stats().events;
  return report;
}

}  // namespace proofdrive::session
