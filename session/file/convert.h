// Between the plain values of header.h and the messages of session.proto. Private to this layer:
// the only header that shows protobuf.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "session/file/memory_budget.h"
#include "session/model/header.h"
#include "session/session.pb.h"

namespace proofdrive::session {

// What the file knows about itself beyond what the user is told.
struct FileIdentity {
  std::uint32_t salt = 0;
  std::uint32_t incompatible_features = 0;
  bool journal = false;
};

enum class WithDefinitions : bool { kNo, kYes };

format::Header ToMessage(const Header& header, const FileIdentity& identity,
                         WithDefinitions definitions);
// kCorrupt when a value is out of its range or `budget` is exceeded.
Result<Header> FromMessage(const format::Header& message, MemoryBudget& budget);
FileIdentity IdentityOf(const format::Header& message);

format::Channel ToMessage(const Channel& channel);
Channel FromMessage(const format::Channel& message);
format::Event ToMessage(const Event& event);
Event FromMessage(const format::Event& message);
void SetMessage(const StreamKey& key, format::StreamKey& message);
// kCorrupt when no frame can have this key.
Result<StreamKey> FromMessage(const format::StreamKey& message);

// --- times in units of the resolution, rounded down ---
// Both in the path of every frame; nearly all sessions are in microseconds or nanoseconds, and a
// division by a number known to the compiler is none.
inline std::int64_t RoundedDown(std::int64_t ns, std::int64_t unit) {
  const std::int64_t units = ns / unit;
  return units - (ns % unit < 0 ? 1 : 0);
}
inline std::int64_t ToUnits(WallTime time, Duration resolution) {
  const std::int64_t ns = ToNanoseconds(time);
  if (resolution.count() == 1000) return RoundedDown(ns, 1000);
  return resolution.count() == 1 ? ns : RoundedDown(ns, resolution.count());
}
inline WallTime FromUnits(std::int64_t units, Duration resolution) {
  // Unsigned: a damaged file may hold any number, and wrapping is harmless.
  return WallFromNanoseconds(static_cast<std::int64_t>(
      static_cast<std::uint64_t>(units) * static_cast<std::uint64_t>(resolution.count())));
}

std::vector<std::uint8_t> Serialize(const google::protobuf::MessageLite& message);
// kCorrupt when `bytes` are no such message or `budget` is exceeded.
Status Parse(ByteSpan bytes, google::protobuf::MessageLite& message, MemoryBudget& budget);
// What an event takes in memory.
std::uint64_t MemoryOf(const Event& event);

}  // namespace proofdrive::session
