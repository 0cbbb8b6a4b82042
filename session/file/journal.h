// The journal: what was recorded after the last chunk, in small self-contained batches.
//
// NAME.journal holds records (layout.h): a JournalStart, then JournalBatches in the order of
// writing. It is started anew after every chunk, once that chunk is durable. Batches say which
// frames and events of the session they hold, so a reader that finds them in a chunk as well leaves
// them out. A batch that begins at or before the end of an earlier one replaces it from there: the
// earlier write had failed and was repeated.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/files.h"
#include "core/base/result.h"
#include "core/frame/frame.h"
#include "session/file/memory_budget.h"
#include "session/file/record.h"
#include "session/model/header.h"

namespace proofdrive::session {

// How much of a session precedes something.
struct Position {
  std::uint64_t frames = 0;
  std::uint64_t events = 0;
};

// --- writing: records ready to append ---
// `header` is the serialized format::Header without the text of definitions.
std::vector<std::uint8_t> JournalStartRecord(ByteSpan header, Position position,
                                             std::uint32_t salt);
// REQUIRES: every frame is valid.
std::vector<std::uint8_t> FramesRecord(std::span<const Frame> frames, Position position,
                                       Duration resolution, std::uint32_t salt);
std::vector<std::uint8_t> EventRecord(const Event& event, Position position, std::uint32_t salt);
std::vector<std::uint8_t> ChannelRecord(const Channel& channel, Position position,
                                        std::uint32_t salt);

// --- reading ---
struct JournalContents {
  std::optional<Position> start;  // of the JournalStart, if that can be read
  std::vector<Frame> frames;      // with number >= from.frames, in order of arrival
  std::vector<Event> events;      // with number >= from.events
  std::vector<Channel> channels;
  Position missing;       // known to be missing between those found
  Position begin;         // numbers of the first frame and event found
  std::vector<Gap> gaps;  // bytes that belong to no good record
};
// `from`: what the session file holds. Errors only when reading fails.
Result<JournalContents> ReadJournal(ReadFile& file, Position from, Duration resolution,
                                    std::uint32_t salt, MemoryBudget& budget);

// The header kept in the first record. kCorrupt when it cannot be read with this salt.
Result<std::vector<std::uint8_t>> ReadJournalHeader(ReadFile& file, std::uint32_t salt,
                                                    MemoryBudget& budget);

}  // namespace proofdrive::session
