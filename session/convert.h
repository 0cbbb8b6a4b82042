// Between the plain values of header.h and the messages of session.proto. Private to this layer:
// the only header that shows protobuf.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "session/header.h"
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
// kCorrupt when a value is out of its range.
Result<Header> FromMessage(const format::Header& message);
FileIdentity IdentityOf(const format::Header& message);

format::Channel ToMessage(const Channel& channel);
Channel FromMessage(const format::Channel& message);
format::Event ToMessage(const Event& event);
Event FromMessage(const format::Event& message);
format::StreamKey ToMessage(const StreamKey& key);
// kCorrupt when no frame can have this key.
Result<StreamKey> FromMessage(const format::StreamKey& message);

// --- times in units of the resolution, rounded down ---
std::int64_t ToUnits(WallTime time, Duration resolution);
WallTime FromUnits(std::int64_t units, Duration resolution);

std::vector<std::uint8_t> Serialize(const google::protobuf::MessageLite& message);
// kCorrupt when `bytes` are no such message.
Status Parse(ByteSpan bytes, google::protobuf::MessageLite& message);

}  // namespace proofdrive::session
