// What was asked of control units, as a JSON document: what the daemon answers, and what sessions
// keep as data of their events (docs/asking.md). DO NOT CHANGE the meaning of a key: old sessions
// have them.
#pragma once

#include <nlohmann/json_fwd.hpp>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "decoders/services/conversations.h"

namespace proofdrive::decoders {

struct AskedChannel {
  std::uint8_t number = 0;
  std::string name;
  std::string bus;
};

struct AskedDocument {
  std::string what;     // "codes", "identification", "clear"
  std::string reason;   // "start", "end", "on demand", "before clearing", "after clearing"
  WallTime time;        // source time of its end, to the microsecond
  std::string problem;  // why it ended early; empty: it did not
  std::vector<AskedChannel> channels;
  std::vector<NamedUnit> named;
  std::vector<Conversation> conversations;
};

// In one line.
std::string WriteAskedDocument(const AskedDocument& document);

// What is missing is empty or 0; texts are Printable. kCorrupt when a conversation makes no sense.
Result<AskedDocument> ReadAskedDocument(const nlohmann::json& json);

}  // namespace proofdrive::decoders
