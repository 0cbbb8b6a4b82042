#include "session/recording_reader.h"

#include <algorithm>
#include <map>
#include <span>
#include <utility>

#include "core/base/text.h"
#include "session/model/leftover.h"

namespace proofdrive::session {
namespace {

// One part: what is known of it without reading its frames.
struct Part {
  PartFile file;
  std::string label;  // begins its losses; empty for a session of its own
  State state = State::kComplete;
  bool continued = false;
  std::vector<Loss> losses;
  // Kept open only when the part is alone or would change meanwhile, because it is being recorded:
  // a recording may have more parts than a process may have files.
  std::unique_ptr<Reader> reader;
};

class JoinedReader : public RecordingReader {
 public:
  explicit JoinedReader(Files& files) : files_(files) {}

  // `alone`: a later part was asked for by its own name.
  Status Load(const std::vector<PartFile>& found, bool alone) {
    Status failure;
    for (const PartFile& file : found) {
      const Status status = Take(file, found.size() == 1);
      if (status.ok()) continue;
      if (!parts_.empty() && &file == &found.back() && IsLeftover(files_, file.path)) {
        NoteJustBegun(file);
        continue;
      }
      const bool damage = status.kind() == ErrorKind::kCorrupt ||
                          status.kind() == ErrorKind::kTruncated ||
                          status.kind() == ErrorKind::kInvalidArgument;
      if (!damage || found.size() == 1) return status;
      if (failure.ok()) failure = status;
      own_losses_.push_back({Loss::Severity::kDataLoss, 0, 0,
                             PartName(file) + " cannot be read: " + status.message(),
                             "the other parts can be read"});
      taken_.push_back(file.number);
    }
    if (parts_.empty()) return failure;
    if (!alone) NoteMissing();
    for (const auto& [key, stream] : totals_) streams_.push_back(stream);
    CollectLosses();
    return Status::Ok();
  }

  const std::vector<PartFile>& parts() const override { return part_files_; }
  const Header& header() const override { return header_; }
  const std::vector<Event>& events() const override { return events_; }
  const std::vector<StreamInfo>& streams() const override { return streams_; }
  std::uint64_t frame_count() const override { return frame_count_; }
  WallTime first_time() const override { return first_; }
  WallTime last_time() const override { return last_; }
  std::uint64_t file_bytes() const override { return file_bytes_; }
  const std::vector<Loss>& losses() const override { return losses_; }

  State state() const override {
    const auto any = [this](State state) {
      return std::any_of(parts_.begin(), parts_.end(),
                         [state](const Part& part) { return part.state == state; });
    };
    if (any(State::kRecording)) return State::kRecording;
    if (damaged_ || any(State::kDamaged)) return State::kDamaged;
    return any(State::kInterrupted) ? State::kInterrupted : State::kComplete;
  }

  Status ForEachBlock(const BlockRequest& request, const BlockVisitor& visit) override {
    bool more = true;
    std::uint64_t before = 0;
    const auto guarded = [&](const FrameBlock& block) {
      FrameBlock placed = block;
      placed.AddDone(before);
      return more = visit(placed);
    };
    for (std::size_t i = 0; i < parts_.size() && more; ++i) {
      const auto read = [&](Reader& reader) -> Status {
        const Status status = reader.ForEachBlock(request, guarded);
        before += reader.frame_count();
        return status;
      };
      RETURN_IF_ERROR(Read(parts_[i], read));
    }
    return Status::Ok();
  }

 private:
  Status Take(const PartFile& file, bool single) {
    ASSIGN_OR_RETURN(auto reader, Reader::Open(files_, file.path));
    if (!parts_.empty() && reader->header().recording != header_.recording) {
      own_losses_.push_back({Loss::Severity::kNotice, 0, 0,
                             FileNameOf(file.path) + " is no part of this recording; not used",
                             "nothing to do: only its name looks like one"});
      return Status::Ok();
    }
    if (parts_.empty()) header_ = reader->header();
    AddChannels(reader->header());
    SumUp(*reader);
    Part part;
    part.file = file;
    if (!single) part.label = PartName(file) + ": ";
    part.state = reader->state();
    part.continued = reader->header().continued;
    part.losses = reader->losses();
    if (single || part.state == State::kRecording) part.reader = std::move(reader);
    parts_.push_back(std::move(part));
    part_files_.push_back(file);
    taken_.push_back(file.number);
    return Status::Ok();
  }

  // The recorder was killed when it had just created the last part.
  void NoteJustBegun(const PartFile& file) {
    own_losses_.push_back({Loss::Severity::kNotice, 0, 0,
                           PartName(file) + " had only just been begun: nothing was stored in it",
                           "nothing to do"});
    taken_.push_back(file.number);
  }

  void AddChannels(const Header& header) {
    for (const Channel& channel : header.channels) {
      const bool known =
          std::any_of(header_.channels.begin(), header_.channels.end(),
                      [&](const Channel& other) { return other.number == channel.number; });
      if (!known) header_.channels.push_back(channel);
    }
  }

  void SumUp(const Reader& reader) {
    if (reader.frame_count() > 0) {
      if (frame_count_ == 0) first_ = reader.first_time();
      last_ = reader.last_time();
    }
    frame_count_ += reader.frame_count();
    file_bytes_ += reader.file_bytes();
    AddEvents(reader.events());
    for (const StreamInfo& stream : reader.streams()) {
      StreamInfo& total =
          totals_.try_emplace(stream.key, StreamInfo{stream.key, 0, stream.first, stream.last})
              .first->second;
      total.frames += stream.frames;
      total.last = stream.last;
    }
  }

  // Each part was read within a limit of its own; all together need one, too.
  void AddEvents(const std::vector<Event>& events) {
    for (const Event& event : events) {
      event_bytes_ += sizeof(Event) + event.text.size() + event.data.size();
      if (event_bytes_ > kMostEventBytes) break;
      events_.push_back(event);
    }
    if (event_bytes_ <= kMostEventBytes || events_cut_) return;
    events_cut_ = true;
    own_losses_.push_back({Loss::Severity::kDataLoss, 0, 0,
                           "the events of all parts take more memory than a recorder ever writes; "
                           "those after the first " +
                               FormatCount(events_.size()) + " are left out",
                           "look at single parts by their own names"});
  }

  void NoteMissing() {
    std::uint32_t last = taken_.back();
    const Part& end = parts_.back();
    const bool more = end.file.number == last && end.state == State::kComplete && end.continued;
    if (more) ++last;
    for (std::uint32_t number = 1; number <= last; ++number) {
      if (std::find(taken_.begin(), taken_.end(), number) != taken_.end()) continue;
      const std::string first = FirstPartPath(end.file.path);
      own_losses_.push_back({Loss::Severity::kDataLoss, 0, 0,
                             "part " + std::to_string(number) + " is missing: there is no " +
                                 FileNameOf(PartPath(first, number)),
                             "copy it beside the others if you have it; they can be read"});
      if (own_losses_.size() > kMostMissing) return;
    }
  }

  void CollectLosses() {
    losses_ = own_losses_;
    for (const Loss& loss : own_losses_) damaged_ |= loss.severity == Loss::Severity::kDataLoss;
    for (const Part& part : parts_) {
      for (Loss loss : part.losses) {
        loss.what = part.label + loss.what;
        losses_.push_back(std::move(loss));
      }
    }
  }

  // Opens the part for as long as `use` takes, and learns what damage was found.
  template <class Use>
  Status Read(Part& part, const Use& use) {
    std::unique_ptr<Reader> opened;
    if (!part.reader) {
      ASSIGN_OR_RETURN(opened, Reader::Open(files_, part.file.path));
    }
    Reader& reader = part.reader ? *part.reader : *opened;
    const Status status = use(reader);
    const bool news = reader.losses().size() > part.losses.size();
    if (news) part.losses = reader.losses();
    part.state = reader.state();
    if (news) CollectLosses();
    return status;
  }

  static constexpr std::size_t kMostMissing = 100;
  // A million events of a controller in trouble take half of it.
  static constexpr std::size_t kMostEventBytes = std::size_t{256} << 20;

  Files& files_;
  std::vector<Part> parts_;
  std::vector<PartFile> part_files_;
  std::vector<std::uint32_t> taken_;  // numbers of all parts that are there
  Header header_;
  std::vector<Event> events_;
  std::size_t event_bytes_ = 0;
  bool events_cut_ = false;
  std::map<StreamKey, StreamInfo> totals_;
  std::vector<StreamInfo> streams_;
  std::uint64_t frame_count_ = 0;
  std::uint64_t file_bytes_ = 0;
  WallTime first_{};
  WallTime last_{};
  std::vector<Loss> own_losses_;  // of no single part
  std::vector<Loss> losses_;
  bool damaged_ = false;
};

}  // namespace

Result<std::unique_ptr<RecordingReader>> OpenRecording(Files& files, const std::string& path) {
  ASSIGN_OR_RETURN(const std::vector<PartFile> found, FindParts(files, path));
  auto reader = std::make_unique<JoinedReader>(files);
  const bool alone = found.size() == 1 && FirstPartPath(path) != path;
  RETURN_IF_ERROR(reader->Load(found, alone));
  return std::unique_ptr<RecordingReader>(std::move(reader));
}

}  // namespace proofdrive::session
