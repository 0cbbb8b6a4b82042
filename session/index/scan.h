// Rebuilds the index of a session file by walking over all its records.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "session/file/record.h"
#include "session/index/index.h"
#include "session/model/header.h"
#include "session/model/loss.h"

namespace proofdrive::session {

// Numbers of frames or events that no readable record holds.
struct Hole {
  std::uint64_t count = 0;
  std::uint64_t from = 0;  // bytes of the file between which they must have been
  std::uint64_t to = 0;
};

struct Scan {
  Index index;
  std::vector<Event> events;
  std::vector<Channel> channels;  // added after the header was written
  std::vector<Gap> gaps;          // bytes that belong to no good record
  std::vector<Hole> frame_holes;
  std::vector<Hole> event_holes;
  std::optional<Footer> footer;  // the last one that can be read
  std::uint64_t last_chunk_end = 0;
  std::uint64_t last_notes_end = 0;
};

// Errors only when reading fails. What `budget` does not allow is not taken in.
Result<Scan> ScanSession(FileWindow& window, std::uint32_t salt, MemoryBudget& budget);

// Takes in a notes record: its events from number `index.total.events` on.
struct Notes {
  std::uint64_t first_event = 0;
  std::vector<Event> events;
  std::vector<Channel> channels;
};
Result<Notes> ParseNotes(ByteSpan payload, MemoryBudget& budget);
std::vector<std::uint8_t> NotesRecord(std::uint64_t first_event, const std::vector<Event>& events,
                                      const std::vector<Channel>& channels, std::uint32_t salt);

// What the scan says is missing or odd. `expected`: how much the file should hold according to its
// footer or journal.
std::vector<Loss> LossesOf(const Scan& scan, Position expected, std::uint64_t file_bytes);

}  // namespace proofdrive::session
