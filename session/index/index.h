// What a session file holds and where: kept while writing, stored in the footer, rebuilt by a scan.
#pragma once

#include <cstdint>
#include <map>
#include <vector>

#include "core/base/result.h"
#include "session/file/journal.h"
#include "session/file/record.h"
#include "session/model/header.h"

namespace proofdrive::session {

// Where one chunk is, in enough detail to read one block of it.
struct ChunkPlace {
  std::uint64_t offset = 0;  // of the record
  std::uint32_t record_bytes = 0;
  std::uint32_t directory_offset = 0;  // within the record, like blocks_offset
  std::uint32_t directory_bytes = 0;
  std::uint32_t directory_crc = 0;
  std::uint32_t blocks_offset = 0;
  std::uint64_t first_frame = 0;
  std::uint32_t frames = 0;
  std::int64_t first_time = 0;  // units, in order of arrival
  std::int64_t last_time = 0;

  std::uint64_t end() const { return offset + record_bytes; }
  std::uint64_t end_frame() const { return first_frame + frames; }
};

// Sums over one stream, times in units.
struct StreamTotal {
  std::uint64_t frames = 0;
  std::int64_t first = 0;
  std::int64_t last = 0;

  // Frames that arrived later.
  void Add(std::uint64_t count, std::int64_t first_time, std::int64_t last_time);
};

struct Index {
  std::vector<ChunkPlace> chunks;
  std::vector<Gap> notes;      // records with events and channels
  std::vector<Gap> abandoned;  // left behind by writes that failed
  std::map<StreamKey, StreamTotal> streams;
  Position total;  // frames and events in the file

  // Takes in the chunk whose record begins at `offset`. kCorrupt: nothing was taken in.
  Status AddChunk(std::uint64_t offset, ByteSpan payload);
};

// A footer record and the trailer, to be appended at `offset`. `header` is the serialized
// format::Header.
std::vector<std::uint8_t> FooterBytes(const Index& index, ByteSpan header, std::uint64_t offset,
                                      std::uint32_t salt);

struct Footer {
  std::vector<std::uint8_t> header;  // serialized format::Header
  Index index;
};
// The payload of a footer record at `offset`. kCorrupt when it points outside of what precedes it.
Result<Footer> ParseFooter(ByteSpan payload, std::uint64_t offset, MemoryBudget& budget);

// Where the footer record begins according to the trailer at the end of the file. kCorrupt: none.
Result<std::uint64_t> ReadTrailer(FileWindow& window);

}  // namespace proofdrive::session
