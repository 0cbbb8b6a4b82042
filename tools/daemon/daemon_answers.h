// The daemon's JSON answers in words, for the commands that talk to it.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>

#include "core/base/result.h"

namespace proofdrive::tools {

// kCorrupt when the answer is no JSON object: something else listens on the socket.
Result<nlohmann::json> ParseAnswer(const std::string& answer);

// A member as text or number, ready for a terminal; empty or 0 when missing or of another kind.
std::string TextOf(const nlohmann::json& object, const char* key);
double NumberOf(const nlohmann::json& object, const char* key);
std::uint64_t CountOf(const nlohmann::json& object, const char* key);
// A member that is a list of objects; others are left out.
std::vector<nlohmann::json> ObjectsOf(const nlohmann::json& object, const char* key);

// "drive-1: 12,345 frames in 3 min 05 s, 0 lost: /path/drive-1.session"
std::string DescribeRecording(const nlohmann::json& recording);

}  // namespace proofdrive::tools
