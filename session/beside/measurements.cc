#include "session/beside/measurements.h"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/base/bytes.h"
#include "core/digests/crc32c.h"
#include "session/file/convert.h"
#include "session/model/names.h"
#include "session/model/parts.h"

namespace proofdrive::session {
namespace {

// DO NOT CHANGE: 8 magic | 4 version | 4 CRC-32C of the payload | payload, a format::Measurements.
constexpr std::array<std::uint8_t, 8> kMagic = {0xD7, 'p', 'r', 'f', 'd', 'm', 's', 10};
constexpr std::uint32_t kVersion = 1;
constexpr std::size_t kHeadBytes = kMagic.size() + 2 * sizeof(std::uint32_t);
constexpr std::uint64_t kMostBytes = std::uint64_t{1} << 20;

const std::string& IdentityOf(const Header& header) {
  return header.recording.empty() ? header.id : header.recording;
}

Measurement FromMessage(const format::Measurement& message) {
  Measurement one;
  one.at = WallFromNanoseconds(message.at_ns());
  one.role = message.role();
  one.element = message.element();
  one.value = message.value();
  one.unit = message.unit();
  one.how = message.how();
  one.text = message.text();
  return one;
}

format::Measurements ToMessage(const std::string& session, const std::vector<Measurement>& all) {
  format::Measurements message;
  message.set_session(session);
  for (const Measurement& one : all) {
    format::Measurement& added = *message.add_measurements();
    added.set_at_ns(ToNanoseconds(one.at));
    added.set_role(one.role);
    added.set_element(one.element);
    added.set_value(one.value);
    added.set_unit(one.unit);
    added.set_how(one.how);
    added.set_text(one.text);
  }
  return message;
}

// The payload of a file that is whole and of a version this program knows.
Result<ByteSpan> PayloadOf(ByteSpan bytes) {
  if (bytes.size() < kHeadBytes || !std::equal(kMagic.begin(), kMagic.end(), bytes.begin())) {
    return Status(ErrorKind::kCorrupt,
                  "is no file of measurements; move it away or give the session another name");
  }
  ByteReader reader(bytes.subspan(kMagic.size()));
  const auto version = reader.Get<std::uint32_t>();
  const auto crc = reader.Get<std::uint32_t>();
  if (version == 0) return Status(ErrorKind::kCorrupt, "is damaged; move it away");
  if (version > kVersion) {
    return Status(ErrorKind::kUnsupportedVersion,
                  "was written by a newer Proofdrive: update Proofdrive to read it");
  }
  const ByteSpan payload = bytes.subspan(kHeadBytes);
  if (Crc32c(payload) != crc) {
    return Status(ErrorKind::kCorrupt, "is damaged; move it away and note the measurements again");
  }
  return payload;
}

Result<std::vector<Measurement>> ReadFile(Files& files, const std::string& path,
                                          const Header& header) {
  ASSIGN_OR_RETURN(const std::string text, ReadWholeFile(files, path, kMostBytes));
  ASSIGN_OR_RETURN(const ByteSpan payload,
                   PayloadOf({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()}));
  format::Measurements message;
  MemoryBudget budget(text.size());
  RETURN_IF_ERROR(Parse(payload, message, budget));
  if (message.session() != IdentityOf(header)) {
    return Status(ErrorKind::kInvalidArgument,
                  "holds measurements of another session; move it away, or move it back to its "
                  "session");
  }
  std::vector<Measurement> all;
  for (const format::Measurement& one : message.measurements()) {
    if (std::isfinite(one.value())) all.push_back(FromMessage(one));
  }
  return all;
}

}  // namespace

std::string MeasurementsPath(const std::string& session_path) {
  return MeasuredPath(FirstPartPath(session_path));
}

Result<std::vector<Measurement>> ReadMeasurements(Files& files, const std::string& session_path,
                                                  const Header& header) {
  const std::string path = MeasurementsPath(session_path);
  if (files.KindOf(path) == PathKind::kNothing) return std::vector<Measurement>();
  if (files.KindOf(path) != PathKind::kFile) {
    return Status(ErrorKind::kInvalidArgument, path + " is no ordinary file; move it away");
  }
  auto all = ReadFile(files, path, header);
  if (!all.ok()) return Status(all.status().kind(), path + " " + all.status().message());
  return all;
}

Status WriteMeasurements(Files& files, const std::string& session_path, const Header& header,
                         const std::vector<Measurement>& measurements) {
  ASSIGN_OR_RETURN(const auto stored, ReadMeasurements(files, session_path, header));
  const std::string path = MeasurementsPath(session_path);
  if (measurements.empty()) {
    if (stored.empty() && !files.Exists(path)) return Status::Ok();
    RETURN_IF_ERROR(files.Remove(path));
    return files.SyncDirectory(DirectoryOf(path));
  }
  const auto payload = Serialize(ToMessage(IdentityOf(header), measurements));
  std::vector<std::uint8_t> bytes(kMagic.begin(), kMagic.end());
  ByteWriter writer(bytes);
  writer.Put(kVersion);
  writer.Put(Crc32c(payload));
  bytes.insert(bytes.end(), payload.begin(), payload.end());
  if (bytes.size() > kMostBytes) {
    return Status(ErrorKind::kInvalidArgument, path + " would be larger than 1 MiB");
  }
  return ReplaceFile(files, path, std::string(bytes.begin(), bytes.end()));
}

}  // namespace proofdrive::session
