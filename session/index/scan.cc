#include "session/index/scan.h"

#include <algorithm>

#include "core/base/text.h"
#include "session/file/convert.h"

namespace proofdrive::session {
namespace {

constexpr const char* kLostChunkAdvice =
    "the rest can be read; `proofdrive recover` makes a complete session of it";

class SessionScanner {
 public:
  SessionScanner(Scan& scan, MemoryBudget& budget) : scan_(scan), budget_(budget) {
    scan_.last_chunk_end = scan_.last_notes_end = kPreambleBytes;
  }

  // Whether some chunk was found twice, so that the sums over the streams are too high.
  bool repeated() const { return repeated_; }

  // False when the record is not what its type says.
  bool Add(const Record& record) {
    switch (record.type) {
      case RecordType::kHeader:
        return true;
      case RecordType::kChunk:
        return AddChunk(record);
      case RecordType::kNotes:
        return AddNotes(record);
      case RecordType::kFooter:
        return AddFooter(record);
      default:
        return false;
    }
  }

 private:
  // A failed write that was repeated leaves the same chunk twice: the later one counts.
  void DropRepeated(std::uint64_t first_frame) {
    Index& index = scan_.index;
    while (!index.chunks.empty() && index.chunks.back().first_frame >= first_frame) {
      index.chunks.pop_back();
      repeated_ = true;
    }
    index.total.frames = index.chunks.empty() ? 0 : index.chunks.back().end_frame();
  }

  bool AddChunk(const Record& record) {
    Index one;
    if (!one.AddChunk(record.offset, record.payload).ok()) return false;
    const ChunkPlace place = one.chunks.front();
    DropRepeated(place.first_frame);
    Index& index = scan_.index;
    if (place.first_frame > index.total.frames) {
      scan_.frame_holes.push_back(
          {place.first_frame - index.total.frames, scan_.last_chunk_end, record.offset});
    }
    index.total.frames = place.end_frame();
    index.chunks.push_back(place);
    for (const auto& [key, total] : one.streams) {
      index.streams[key].Add(total.frames, total.first, total.last);
    }
    scan_.last_chunk_end = record.end();
    return true;
  }

  bool AddNotes(const Record& record) {
    Result<Notes> notes = ParseNotes(record.payload, budget_);
    if (!notes.ok()) return false;
    std::uint64_t& next = scan_.index.total.events;
    if (notes->first_event > next) {
      scan_.event_holes.push_back({notes->first_event - next, scan_.last_notes_end, record.offset});
      next = notes->first_event;
    }
    for (std::size_t i = 0; i < notes->events.size(); ++i) {
      if (notes->first_event + i < next) continue;
      scan_.events.push_back(std::move(notes->events[i]));
      ++next;
    }
    for (Channel& channel : notes->channels) scan_.channels.push_back(std::move(channel));
    scan_.index.notes.push_back({record.offset, record.end() - record.offset});
    scan_.last_notes_end = record.end();
    return true;
  }

  bool AddFooter(const Record& record) {
    Result<Footer> footer = ParseFooter(record.payload, record.offset, budget_);
    if (!footer.ok()) return false;
    scan_.footer = std::move(*footer);
    return true;
  }

  Scan& scan_;
  MemoryBudget& budget_;
  bool repeated_ = false;
};

bool Overlaps(const Gap& gap, const Hole& hole) {
  return gap.offset < hole.to && gap.offset + gap.bytes > hole.from;
}

std::string Count(std::uint64_t count, const char* what) {
  return FormatCount(count) + " " + what + (count == 1 ? "" : "s");
}

// Marks the gaps that explain the hole and returns the loss.
Loss LossOf(const Hole& hole, const char* what, const std::vector<Gap>& gaps,
            std::vector<bool>& explained) {
  Loss loss{Loss::Severity::kDataLoss, hole.from, 0, "", kLostChunkAdvice};
  for (std::size_t i = 0; i < gaps.size(); ++i) {
    if (!Overlaps(gaps[i], hole)) continue;
    if (loss.bytes == 0) loss.offset = gaps[i].offset;
    loss.bytes += gaps[i].bytes;
    explained[i] = true;
  }
  loss.what = Count(hole.count, what) + (hole.count == 1 ? " is" : " are") +
              " missing: " + Count(loss.bytes, "damaged byte") + " at byte " +
              FormatCount(loss.offset);
  return loss;
}

Loss OddBytes(const Gap& gap, bool at_end) {
  return {Loss::Severity::kNotice, gap.offset, gap.bytes,
          Count(gap.bytes, "byte") + " at byte " + FormatCount(gap.offset) +
              (at_end ? " are an unfinished record" : " belong to no record"),
          at_end ? "nothing to do: the recorder stopped while writing them"
                 : "nothing to do: no frame and no event is missing there"};
}

// Sums over the streams again, over the chunks that count.
Status RecountStreams(FileWindow& window, std::uint32_t salt, Index& index) {
  Index recount;
  for (const ChunkPlace& place : index.chunks) {
    ASSIGN_OR_RETURN(const Record record, ReadRecord(window, place.offset, salt));
    RETURN_IF_ERROR(recount.AddChunk(record.offset, record.payload));
  }
  index.streams = std::move(recount.streams);
  return Status::Ok();
}

}  // namespace

Result<Notes> ParseNotes(ByteSpan payload, MemoryBudget& budget) {
  format::Notes message;
  RETURN_IF_ERROR(Parse(payload, message, budget));
  Notes notes;
  notes.first_event = message.first_event();
  for (const format::Event& event : message.events()) {
    notes.events.push_back(FromMessage(event));
    RETURN_IF_ERROR(budget.Take(MemoryOf(notes.events.back())));
  }
  for (const format::Channel& channel : message.channels()) {
    notes.channels.push_back(FromMessage(channel));
  }
  return notes;
}

std::vector<std::uint8_t> NotesRecord(std::uint64_t first_event, const std::vector<Event>& events,
                                      const std::vector<Channel>& channels, std::uint32_t salt) {
  format::Notes message;
  message.set_first_event(first_event);
  for (const Event& event : events) *message.add_events() = ToMessage(event);
  for (const Channel& channel : channels) *message.add_channels() = ToMessage(channel);
  std::vector<std::uint8_t> record;
  PutRecord(RecordType::kNotes, Serialize(message), salt, record);
  return record;
}

Result<Scan> ScanSession(FileWindow& window, std::uint32_t salt, MemoryBudget& budget) {
  Scan scan;
  SessionScanner session(scan, budget);
  RecordScanner records(window, kPreambleBytes, salt);
  std::vector<Gap> unreadable;
  for (Record record;;) {
    ASSIGN_OR_RETURN(const bool found, records.Next(record));
    if (!found) break;
    if (!session.Add(record)) unreadable.push_back({record.offset, record.end() - record.offset});
  }
  if (session.repeated()) RETURN_IF_ERROR(RecountStreams(window, salt, scan.index));
  scan.gaps = records.gaps();
  scan.gaps.insert(scan.gaps.end(), unreadable.begin(), unreadable.end());
  return scan;
}

std::vector<Loss> LossesOf(const Scan& scan, Position expected, std::uint64_t file_bytes) {
  std::vector<Hole> frame_holes = scan.frame_holes;
  if (expected.frames > scan.index.total.frames) {
    frame_holes.push_back(
        {expected.frames - scan.index.total.frames, scan.last_chunk_end, file_bytes});
  }
  std::vector<Hole> event_holes = scan.event_holes;
  if (expected.events > scan.index.total.events) {
    event_holes.push_back(
        {expected.events - scan.index.total.events, scan.last_notes_end, file_bytes});
  }
  std::vector<Loss> losses;
  std::vector<bool> explained(scan.gaps.size());
  for (const Hole& hole : frame_holes) {
    losses.push_back(LossOf(hole, "frame", scan.gaps, explained));
  }
  for (const Hole& hole : event_holes) {
    losses.push_back(LossOf(hole, "event", scan.gaps, explained));
  }
  for (std::size_t i = 0; i < scan.gaps.size(); ++i) {
    const Gap& gap = scan.gaps[i];
    if (!explained[i]) losses.push_back(OddBytes(gap, gap.offset + gap.bytes >= file_bytes));
  }
  return losses;
}

}  // namespace proofdrive::session
