#include "session/file/journal.h"

#include <algorithm>
#include <cstring>
#include <memory>

#include "session/file/convert.h"
#include "session/file/wire.h"

namespace proofdrive::session {
namespace {

std::vector<std::uint8_t> BatchRecord(format::JournalBatch& batch, Position position,
                                      std::uint32_t salt) {
  batch.set_first_frame(position.frames);
  batch.set_first_event(position.events);
  std::vector<std::uint8_t> record;
  PutRecord(RecordType::kJournalBatch, Serialize(batch), salt, record);
  return record;
}

std::uint32_t KindOf(const Frame& frame) {
  return std::uint32_t{frame.channel} | std::uint32_t{frame.flags} << 8 |
         std::uint32_t{frame.length} << 16 | std::uint32_t{frame.raw_dlc} << 24;
}

// --- a batch of frames, written by hand: every frame goes through here, and generated code takes
// several times as long ---

// A column that is being filled. The memory is not cleared first.
struct Column {
  explicit Column(std::size_t room)
      : bytes(std::make_unique_for_overwrite<std::uint8_t[]>(room)), end(bytes.get()) {}
  std::size_t size() const { return static_cast<std::size_t>(end - bytes.get()); }
  std::unique_ptr<std::uint8_t[]> bytes;
  std::uint8_t* end;
};
// At most this much comes beside the columns: two numbers, and tag and size of four columns.
constexpr std::size_t kMaxBatchHead = 2 * 11 + 4 * 6;

std::uint8_t* PutFixed32(std::uint32_t value, std::uint8_t* out) {
  for (unsigned shift = 0; shift < 32; shift += 8) {
    *out++ = static_cast<std::uint8_t>(value >> shift);
  }
  return out;
}

std::uint8_t* PutPayload(ByteSpan payload, std::uint8_t* out) {
  if (payload.size() == 8) {  // nearly always: a copy the compiler knows the size of
    std::memcpy(out, payload.data(), 8);
    return out + 8;
  }
  return std::copy(payload.begin(), payload.end(), out);
}

void AppendNumber(std::uint32_t field, std::uint64_t value, std::vector<std::uint8_t>& out) {
  AppendVarint(TagOf(field, WireType::kVarint), out);
  AppendVarint(value, out);
}

void AppendColumn(std::uint32_t field, const Column& column, std::vector<std::uint8_t>& out) {
  AppendVarint(TagOf(field, WireType::kBytes), out);
  AppendVarint(column.size(), out);
  out.insert(out.end(), column.bytes.get(), column.end);
}

Frame FrameOf(std::uint32_t id, std::uint32_t kind) {
  Frame frame;
  frame.id = id;
  frame.channel = static_cast<std::uint8_t>(kind);
  frame.flags = static_cast<std::uint8_t>(kind >> 8);
  frame.length = static_cast<std::uint8_t>(kind >> 16);
  frame.raw_dlc = static_cast<std::uint8_t>(kind >> 24);
  return frame;
}

Result<std::vector<Frame>> FramesOf(const format::JournalBatch& batch, Duration resolution) {
  const Status unequal(ErrorKind::kCorrupt, "the columns of a batch differ in length");
  if (batch.id_size() != batch.time_size() || batch.kind_size() != batch.time_size()) {
    return unequal;
  }
  if (static_cast<std::size_t>(batch.time_size()) > kMaxFramesPerChunk) {
    return Status(ErrorKind::kCorrupt, "a batch has more frames than a chunk may have");
  }
  std::vector<Frame> frames;
  frames.reserve(static_cast<std::size_t>(batch.time_size()));
  ByteReader payloads(AsBytes(batch.payload()));
  std::uint64_t units = 0;
  for (int i = 0; i < batch.time_size(); ++i) {
    Frame frame = FrameOf(batch.id(i), batch.kind(i));
    RETURN_IF_ERROR(Validate(frame));
    units += static_cast<std::uint64_t>(batch.time(i));
    frame.time = FromUnits(static_cast<std::int64_t>(units), resolution);
    const ByteSpan payload = payloads.GetBytes(frame.payload().size());
    std::copy(payload.begin(), payload.end(), frame.data.begin());
    frames.push_back(frame);
  }
  return payloads.ok() ? Result<std::vector<Frame>>(std::move(frames)) : unequal;
}

// Items that know their number within the session, so that repeated writes can replace each other.
template <class Item>
class Numbered {
 public:
  explicit Numbered(std::uint64_t from) : from_(from) {}

  void Add(std::uint64_t first, std::vector<Item> items) {
    while (!numbers_.empty() && numbers_.back() >= first) {
      numbers_.pop_back();
      items_.pop_back();
    }
    for (std::size_t i = 0; i < items.size(); ++i) {
      if (first + i < from_ || items_.size() >= kMaxFramesPerChunk) continue;
      numbers_.push_back(first + i);
      items_.push_back(std::move(items[i]));
    }
  }
  std::uint64_t begin() const { return numbers_.empty() ? from_ : numbers_.front(); }
  std::uint64_t missing() const {
    return numbers_.empty() ? 0 : numbers_.back() - numbers_.front() + 1 - numbers_.size();
  }
  std::vector<Item> Take() { return std::move(items_); }

 private:
  std::uint64_t from_;
  std::vector<std::uint64_t> numbers_;
  std::vector<Item> items_;
};

// Collects the batches of one journal.
class Collector {
 public:
  Collector(Position from, Duration resolution, MemoryBudget& budget)
      : resolution_(resolution), budget_(budget), frames_(from.frames), events_(from.events) {}

  // False when the record is not what its type says.
  bool Add(const Record& record) {
    if (record.type == RecordType::kJournalStart) return AddStart(record.payload);
    return record.type == RecordType::kJournalBatch && AddBatch(record.payload);
  }

  JournalContents Take() {
    contents_.begin = {frames_.begin(), events_.begin()};
    contents_.missing = {frames_.missing(), events_.missing()};
    contents_.frames = frames_.Take();
    contents_.events = events_.Take();
    return std::move(contents_);
  }

 private:
  bool AddStart(ByteSpan payload) {
    format::JournalStart message;
    if (!Parse(payload, message, budget_).ok()) return false;
    contents_.start = Position{message.first_frame(), message.first_event()};
    return true;
  }

  bool AddBatch(ByteSpan payload) {
    format::JournalBatch message;
    if (!Parse(payload, message, budget_).ok()) return false;
    Result<std::vector<Frame>> frames = FramesOf(message, resolution_);
    if (!frames.ok()) return false;
    if (!frames->empty()) frames_.Add(message.first_frame(), std::move(*frames));
    std::vector<Event> events;
    for (const format::Event& event : message.events()) {
      events.push_back(FromMessage(event));
      if (!budget_.Take(MemoryOf(events.back())).ok()) return false;
    }
    if (!events.empty()) events_.Add(message.first_event(), std::move(events));
    for (const format::Channel& channel : message.channels()) {
      contents_.channels.push_back(FromMessage(channel));
    }
    return true;
  }

  Duration resolution_;
  MemoryBudget& budget_;
  Numbered<Frame> frames_;
  Numbered<Event> events_;
  JournalContents contents_;
};

}  // namespace

std::vector<std::uint8_t> JournalStartRecord(ByteSpan header, Position position,
                                             std::uint32_t salt) {
  format::JournalStart start;
  start.mutable_header()->ParseFromArray(header.data(), static_cast<int>(header.size()));
  start.set_first_frame(position.frames);
  start.set_first_event(position.events);
  std::vector<std::uint8_t> record;
  PutRecord(RecordType::kJournalStart, Serialize(start), salt, record);
  return record;
}

std::vector<std::uint8_t> FramesRecord(std::span<const Frame> frames, Position position,
                                       Duration resolution, std::uint32_t salt) {
  Column times(10 * frames.size()), ids(5 * frames.size()), kinds(4 * frames.size()),
      payload(kMaxFdLength * frames.size());
  std::uint64_t previous = 0;
  for (const Frame& frame : frames) {
    const auto units = static_cast<std::uint64_t>(ToUnits(frame.time, resolution));
    times.end = PutVarint(ZigZag(static_cast<std::int64_t>(units - previous)), times.end);
    previous = units;
    ids.end = PutVarint(frame.id, ids.end);
    kinds.end = PutFixed32(KindOf(frame), kinds.end);
    payload.end = PutPayload(frame.payload(), payload.end);
  }
  using Batch = format::JournalBatch;
  std::vector<std::uint8_t> batch;
  batch.reserve(times.size() + ids.size() + kinds.size() + payload.size() + kMaxBatchHead);
  AppendNumber(Batch::kFirstFrameFieldNumber, position.frames, batch);
  AppendNumber(Batch::kFirstEventFieldNumber, position.events, batch);
  AppendColumn(Batch::kTimeFieldNumber, times, batch);
  AppendColumn(Batch::kIdFieldNumber, ids, batch);
  AppendColumn(Batch::kKindFieldNumber, kinds, batch);
  AppendColumn(Batch::kPayloadFieldNumber, payload, batch);
  std::vector<std::uint8_t> record;
  record.reserve(kRecordHeaderBytes + batch.size());
  PutRecord(RecordType::kJournalBatch, batch, salt, record);
  return record;
}

std::vector<std::uint8_t> EventRecord(const Event& event, Position position, std::uint32_t salt) {
  format::JournalBatch batch;
  *batch.add_events() = ToMessage(event);
  return BatchRecord(batch, position, salt);
}

std::vector<std::uint8_t> ChannelRecord(const Channel& channel, Position position,
                                        std::uint32_t salt) {
  format::JournalBatch batch;
  *batch.add_channels() = ToMessage(channel);
  return BatchRecord(batch, position, salt);
}

Result<JournalContents> ReadJournal(ReadFile& file, Position from, Duration resolution,
                                    std::uint32_t salt, MemoryBudget& budget) {
  ASSIGN_OR_RETURN(const std::uint64_t size, file.Size());
  FileWindow window(file, size);
  RecordScanner scanner(window, 0, salt);
  Collector collector(from, resolution, budget);
  std::vector<Gap> unreadable;
  for (Record record;;) {
    ASSIGN_OR_RETURN(const bool found, scanner.Next(record));
    if (!found) break;
    if (!collector.Add(record)) unreadable.push_back({record.offset, record.end() - record.offset});
  }
  JournalContents contents = collector.Take();
  contents.gaps = scanner.gaps();
  contents.gaps.insert(contents.gaps.end(), unreadable.begin(), unreadable.end());
  return contents;
}

Result<std::vector<std::uint8_t>> ReadJournalHeader(ReadFile& file, std::uint32_t salt,
                                                    MemoryBudget& budget) {
  ASSIGN_OR_RETURN(const std::uint64_t size, file.Size());
  FileWindow window(file, size);
  ASSIGN_OR_RETURN(const Record record, ReadRecord(window, 0, salt));
  format::JournalStart message;
  if (record.type != RecordType::kJournalStart) {
    return Status(ErrorKind::kCorrupt, "the journal has no start");
  }
  RETURN_IF_ERROR(Parse(record.payload, message, budget));
  return Serialize(message.header());
}

}  // namespace proofdrive::session
