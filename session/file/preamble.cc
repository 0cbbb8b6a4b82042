#include "session/file/preamble.h"

#include <algorithm>
#include <cstdio>

#include "core/digests/crc32c.h"
#include "session/model/layout.h"

namespace proofdrive::session {
namespace {

bool BeginsWith(ByteSpan bytes, std::initializer_list<std::uint8_t> start) {
  return bytes.size() >= start.size() && std::equal(start.begin(), start.end(), bytes.begin());
}

bool IsText(ByteSpan bytes) {
  return std::all_of(bytes.begin(), bytes.end(), [](std::uint8_t byte) {
    return byte >= 0x20 || byte == '\n' || byte == '\r' || byte == '\t';
  });
}

}  // namespace

std::vector<std::uint8_t> MakePreamble(std::uint32_t salt, std::uint32_t incompatible_features) {
  std::vector<std::uint8_t> bytes(kFileMagic.begin(), kFileMagic.end());
  ByteWriter writer(bytes);
  writer.Put(incompatible_features);
  writer.Put(std::uint32_t{0});  // compatible features: none yet
  writer.Put(salt);
  writer.Put(Crc32c(bytes));
  return bytes;
}

Result<Preamble> ParsePreamble(ByteSpan bytes) {
  const Status damaged(ErrorKind::kCorrupt, "the first bytes are damaged");
  if (bytes.size() < kPreambleBytes) return damaged;
  if (!std::equal(kFileMagic.begin(), kFileMagic.end(), bytes.begin())) return damaged;
  ByteReader reader(bytes.subspan(kFileMagic.size()));
  Preamble preamble;
  preamble.incompatible_features = reader.Get<std::uint32_t>();
  reader.Skip(sizeof(std::uint32_t));
  preamble.salt = reader.Get<std::uint32_t>();
  const auto crc = reader.Get<std::uint32_t>();
  if (Crc32c(bytes.first(kPreambleBytes - sizeof(crc))) != crc) return damaged;
  return preamble;
}

Status CheckFeatures(std::uint32_t incompatible_features, const std::string& path) {
  const std::uint32_t unknown = incompatible_features & ~kKnownIncompatibleFeatures;
  if (unknown == 0) return Status::Ok();
  char features[16];
  std::snprintf(features, sizeof(features), "0x%X", unknown);
  return Status(ErrorKind::kUnsupportedVersion,
                path + ": written by a newer Proofdrive (it uses features " + features +
                    " that this version does not know): update Proofdrive to read it");
}

std::string DescribeForeignFile(ByteSpan bytes) {
  if (bytes.empty()) return "the file is empty";
  if (BeginsWith(bytes, {0x0A, 0x0D, 0x0D, 0x0A})) {
    return "it looks like a pcapng capture: use `proofdrive import`";
  }
  const bool microseconds =
      BeginsWith(bytes, {0xD4, 0xC3, 0xB2, 0xA1}) || BeginsWith(bytes, {0xA1, 0xB2, 0xC3, 0xD4});
  const bool nanoseconds =
      BeginsWith(bytes, {0x4D, 0x3C, 0xB2, 0xA1}) || BeginsWith(bytes, {0xA1, 0xB2, 0x3C, 0x4D});
  if (microseconds || nanoseconds) return "it looks like a pcap capture: use `proofdrive import`";
  if (BeginsWith(bytes, {0x1F, 0x8B})) return "it looks like a gzip file: unpack it first";
  if (BeginsWith(bytes, {'P', 'K', 3, 4})) return "it looks like a zip file: unpack it first";
  if (BeginsWith(bytes, {0x28, 0xB5, 0x2F, 0xFD}))
    return "it looks like a zstd file: unpack it first";
  if (IsText(bytes)) return "it looks like a text file";
  return "its first bytes are not those of a session";
}

}  // namespace proofdrive::session
