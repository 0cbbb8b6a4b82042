// Any bytes as a session file and its journal: everything that reads them must come back, and what
// Recover makes of them must be a session without losses.
//
// The input is the session, then optionally "JOURNAL:" and the journal. Checksums of records are
// made right first, so that the fuzzer reaches what lies behind them.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <string>
#include <string_view>
#include <vector>

#include "core/digests/crc32c.h"
#include "session/file/preamble.h"
#include "session/file/record.h"
#include "session/model/layout.h"
#include "session/model/names.h"
#include "session/recovery.h"
#include "tests/support/memory_files.h"

namespace proofdrive::session {
namespace {

using Bytes = std::vector<std::uint8_t>;

constexpr const char* kPath = "d/x.session";
constexpr std::string_view kJournalFollows = "JOURNAL:";

// The length and type in a record header at `offset`, when the record fits into the bytes.
bool RecordAt(const Bytes& bytes, std::size_t offset, std::uint32_t& length, std::uint32_t& type) {
  if (bytes.size() - offset < kRecordHeaderBytes) return false;
  if (!std::equal(kRecordMarker.begin(), kRecordMarker.end(),
                  bytes.begin() + static_cast<std::ptrdiff_t>(offset))) {
    return false;
  }
  ByteReader reader(ByteSpan(bytes).subspan(offset + kRecordMarker.size()));
  length = reader.Get<std::uint32_t>();
  type = reader.Get<std::uint32_t>();
  return length <= bytes.size() - offset - kRecordHeaderBytes;
}

void MakeChecksumsRight(Bytes& bytes, std::uint32_t salt) {
  for (std::size_t offset = 0; offset + kRecordHeaderBytes <= bytes.size(); ++offset) {
    std::uint32_t length = 0;
    std::uint32_t type = 0;
    if (!RecordAt(bytes, offset, length, type)) continue;
    const Bytes payload(
        bytes.begin() + static_cast<std::ptrdiff_t>(offset + kRecordHeaderBytes),
        bytes.begin() + static_cast<std::ptrdiff_t>(offset + kRecordHeaderBytes + length));
    const auto kind = static_cast<RecordType>(type);
    Bytes record;
    PutRecord(kind, payload, kind == RecordType::kHeader ? kHeaderSalt : salt, record);
    std::copy(record.begin(), record.end(), bytes.begin() + static_cast<std::ptrdiff_t>(offset));
  }
}

// Reads all that a reader offers; the streams must hold the frames that iteration shows.
void ReadAll(Files& files) {
  const auto opened = Reader::Open(files, kPath);
  if (!opened.ok()) return;
  Reader& reader = **opened;
  std::uint64_t frames = 0;
  (void)reader.ForEachFrame([&](const Frame& frame) {
    if (frame.payload().size() > kMaxFdLength) std::abort();
    return ++frames < 200'000;
  });
  const std::vector<StreamInfo> streams = reader.streams();
  for (std::size_t i = 0; i < std::min<std::size_t>(streams.size(), 20); ++i) {
    const auto column = reader.ReadStream(streams[i].key);
    if (!column.ok()) continue;
    if (column->bytes.size() != column->times.size() * column->stride()) std::abort();
  }
}

void CheckRecovery(Files& files) {
  (void)Verify(files, kPath);
  const auto recovered = Recover(files, kPath, "d/y.session");
  if (!recovered.ok()) return;
  const auto again = Verify(files, "d/y.session");
  if (!again.ok() || again->state != State::kComplete || again->frames != recovered->frames) {
    std::abort();
  }
}

void Run(ByteSpan input) {
  const std::string_view text(reinterpret_cast<const char*>(input.data()), input.size());
  const std::size_t at = text.find(kJournalFollows);
  Bytes session(text.begin(),
                text.begin() + static_cast<std::ptrdiff_t>(at == text.npos ? text.size() : at));
  if (session.size() < kPreambleBytes) return;
  const std::uint32_t salt = ByteReader(ByteSpan(session).subspan(16)).Get<std::uint32_t>();
  const Bytes preamble = MakePreamble(salt, kKnownIncompatibleFeatures);
  std::copy(preamble.begin(), preamble.end(), session.begin());
  MakeChecksumsRight(session, salt);
  testing::MemoryFiles files;
  files.Put(kPath, session);
  if (at != text.npos) {
    const std::string_view rest = text.substr(at + kJournalFollows.size());
    Bytes journal(rest.begin(), rest.end());
    MakeChecksumsRight(journal, salt);
    files.Put(JournalPath(kPath), journal);
  }
  ReadAll(files);
  CheckRecovery(files);
}

}  // namespace
}  // namespace proofdrive::session

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  proofdrive::session::Run({data, size});
  return 0;
}
