#include "decoders/language/checksum_reader.h"

#include <algorithm>
#include <string>
#include <utility>

#include "core/base/text.h"
#include "decoders/language/signal_reader.h"
#include "decoders/language/where_parser.h"
#include "decoders/model/checksums.h"

namespace proofdrive::decoders {
namespace {

// Keys that only some kinds use.
struct SettingKey {
  const char* name;
  bool required;
  ChecksumNeeds needs[2];
};
constexpr SettingKey kSettingKeys[] = {
    {"polynomial", true, {ChecksumNeeds::kPolynomial, ChecksumNeeds::kPolynomial}},
    {"start", false, {ChecksumNeeds::kPolynomial, ChecksumNeeds::kPolynomial}},
    {"final xor", false, {ChecksumNeeds::kPolynomial, ChecksumNeeds::kPolynomial}},
    {"data id", true, {ChecksumNeeds::kDataId, ChecksumNeeds::kDataIdWithMode}},
    {"data id mode", false, {ChecksumNeeds::kDataIdWithMode, ChecksumNeeds::kDataIdWithMode}},
    {"data id nibble", false, {ChecksumNeeds::kDataIdWithMode, ChecksumNeeds::kDataIdWithMode}},
    {"data ids", true, {ChecksumNeeds::kDataIdList, ChecksumNeeds::kDataIdList}},
};
constexpr std::size_t kCounterValues = 16;

class ChecksumReader {
 public:
  ChecksumReader(const YamlNode& node, const MappingReader& frame_keys,
                 const FrameDefinition& frame, Draft& draft)
      : frame_keys_(frame_keys),
        frame_(frame),
        draft_(draft),
        keys_(node, kChecksumRule, "\"checksum\"", draft.reporter) {}

  std::optional<ChecksumRule> Read() {
    const std::size_t mistakes = draft_.reporter.errors();
    const auto where = ReadWhere(keys_, draft_);
    const auto kind = keys_.Choice("kind");
    ReadCovered();
    if (kind) {
      rule_.kind = *kind;
      kind_ = FindChecksum(*kind);
      ReadSettings();
      CheckCounter();
    }
    if (where && kind) {
      rule_.location = *where;
      CheckLocation();
    }
    // A required key that is missing was reported before this started.
    if (!where || !kind || draft_.reporter.errors() != mistakes) return std::nullopt;
    return std::move(rule_);
  }

 private:
  void Error(const char* key, const std::string& message, const std::string& hint = {}) const {
    keys_.Error(keys_.MarkOf(key), message, hint);
  }

  void ReadCovered() {
    if (keys_.Find("over") == nullptr) return CoverAll();
    const auto text = keys_.Text("over");
    if (!text) return;
    TextProblem problem;
    const auto bytes = ParseBytes(*text, problem);
    if (!bytes) return keys_.Report(*keys_.Find("over"), problem);
    rule_.first_byte = bytes->first;
    rule_.last_byte = bytes->last;
    if (!frame_.length || rule_.last_byte < *frame_.length) return;
    Error("over", "the checksum covers byte " + std::to_string(rule_.last_byte) +
                      ", but the frame has " + std::to_string(*frame_.length) + " bytes");
  }

  void CoverAll() {
    if (frame_.length && *frame_.length > 0) {
      rule_.last_byte = static_cast<std::uint8_t>(*frame_.length - 1);
      return;
    }
    Error("where", "it is not said which bytes the checksum covers",
          "add over: bytes 0-6, or length: 8 to the frame");
  }

  void CheckLocation() const {
    if (rule_.location.bits() != kind_->bits) {
      return Error("where", rule_.kind + " has " + std::to_string(kind_->bits) +
                                " bits, but the location has " +
                                std::to_string(rule_.location.bits()));
    }
    const auto& pieces = rule_.location.pieces;
    if (kind_->needs != ChecksumNeeds::kDataId || pieces.front().byte > pieces.back().byte) return;
    Error("where", rule_.kind + " is sent low byte first",
          "write \"little\" after the bytes, for example bytes 0-1 little");
  }

  static bool Uses(const SettingKey& key, ChecksumNeeds needs) {
    return key.needs[0] == needs || key.needs[1] == needs;
  }

  void ReadSettings() {
    for (const SettingKey& key : kSettingKeys) CheckKey(key);
    switch (kind_->needs) {
      case ChecksumNeeds::kNothing:
        return;
      case ChecksumNeeds::kPolynomial:
        return ReadPolynomial();
      case ChecksumNeeds::kDataIdWithMode:
        ReadDataId();
        return ReadMode();
      case ChecksumNeeds::kDataId:
        return ReadDataId();
      case ChecksumNeeds::kDataIdList:
        return ReadDataIds();
    }
  }

  void CheckKey(const SettingKey& key) const {
    const bool given = keys_.Find(key.name) != nullptr;
    const std::string name = "\"" + std::string(key.name) + "\"";
    if (given && !Uses(key, kind_->needs)) {
      Error(key.name, rule_.kind + " does not use " + name, "it is used by " + UsersOf(key));
    } else if (!given && key.required && Uses(key, kind_->needs)) {
      Error("kind", rule_.kind + " needs " + name,
            "add " + std::string(key.name) + ": " +
                std::string(kChecksumRule.Find(key.name)->example));
    }
  }

  static std::string UsersOf(const SettingKey& key) {
    std::vector<std::string> names;
    for (const Checksum& checksum : AllChecksums()) {
      if (Uses(key, checksum.needs)) names.emplace_back(checksum.name);
    }
    return Join(names, " and ");
  }

  std::uint8_t ByteOf(const char* key, std::uint64_t least) const {
    return static_cast<std::uint8_t>(keys_.Integer(key, least, 0xFF).value_or(0));
  }

  void ReadPolynomial() {
    rule_.settings.polynomial = ByteOf("polynomial", 1);
    rule_.settings.start = ByteOf("start", 0);
    rule_.settings.final_xor = ByteOf("final xor", 0);
  }

  void ReadDataId() {
    const auto id = keys_.Integer("data id", 0, 0xFFFF);
    rule_.settings.data_ids = {static_cast<std::uint16_t>(id.value_or(0))};
  }

  void ReadMode() {
    const std::string mode =
        keys_.Find("data id mode") == nullptr ? "both" : keys_.Choice("data id mode").value_or("");
    if (mode == "alternating") rule_.settings.mode = DataIdMode::kAlternating;
    if (mode == "low") rule_.settings.mode = DataIdMode::kLow;
    if (mode == "nibble") return ReadNibble();
    if (keys_.Find("data id nibble") == nullptr) return;
    Error("data id nibble", "only data id mode nibble sends a part of the data id",
          "add data id mode: nibble, or remove it");
  }

  void ReadNibble() {
    rule_.settings.mode = DataIdMode::kNibble;
    if (rule_.settings.data_ids[0] > 0xFFF) {
      Error("data id", "with mode nibble a data id has 12 bits", "possible are 0 to 0xFFF");
    }
    rule_.nibble.pieces = {{1, 4, 4}};
    ReadNibblePlace();
    const std::size_t needed = rule_.nibble.bytes_needed();
    if (!frame_.length || needed <= *frame_.length) return;
    Error("data id nibble", "this part of the data id is in byte " + std::to_string(needed - 1) +
                                ", but the frame has " + std::to_string(*frame_.length) + " bytes");
  }

  void ReadNibblePlace() {
    const auto text = keys_.Text("data id nibble");
    if (!text) return;
    TextProblem problem;
    const auto where = ParseWhere(*text, draft_.order, problem);
    if (!where) return keys_.Report(*keys_.Find("data id nibble"), problem);
    if (where->bits() != 4) return Error("data id nibble", "this part of the data id has 4 bits");
    rule_.nibble = *where;
  }

  void ReadDataIds() {
    const YamlNode* list = keys_.Find("data ids");
    if (list == nullptr) return;
    if (list->kind != YamlNode::Kind::kList || list->children.size() != kCounterValues) {
      return Error("data ids", "\"data ids\" must be a list of 16 numbers",
                   "one for each value of the counter, 0 to 15");
    }
    for (const YamlNode& item : list->children) {
      const auto id =
          ReadInt64(item.text, item.mark, "a number of the list", draft_.reporter).value_or(0);
      if (id < 0 || id > 0xFF) {
        draft_.reporter.Error(item.mark, item.text + " is not 0 to 255",
                              "each number of the list has 8 bits");
      }
      rule_.settings.data_ids.push_back(static_cast<std::uint16_t>(id & 0xFF));
    }
  }

  bool NeedsCounter() const {
    return kind_->needs == ChecksumNeeds::kDataIdList ||
           rule_.settings.mode == DataIdMode::kAlternating;
  }

  void CheckCounter() const {
    if (kind_->counter_bits == 0) return;
    const std::string wanted =
        "counter: {where: byte 1 bits 0-3, counts to: " + std::to_string(kind_->counts_to) + "}";
    if (frame_keys_.Find("counter") == nullptr) {
      if (!NeedsCounter()) return;
      return Error("kind", rule_.kind + " is calculated with the counter, which the frame lacks",
                   "add for example " + wanted + " to the frame");
    }
    if (!frame_.counter) return;  // its mistake has been reported
    if (frame_.counter->location.bits() == kind_->counter_bits &&
        frame_.counter->counts_to == kind_->counts_to) {
      return;
    }
    frame_keys_.Error(frame_keys_.MarkOf("counter"),
                      "the counter of " + rule_.kind + " has " +
                          std::to_string(kind_->counter_bits) + " bits and counts to " +
                          std::to_string(kind_->counts_to),
                      "say so here with where: and counts to:");
  }

  const MappingReader& frame_keys_;
  const FrameDefinition& frame_;
  Draft& draft_;
  MappingReader keys_;
  ChecksumRule rule_;
  const Checksum* kind_ = nullptr;
};

}  // namespace

std::optional<ChecksumRule> ReadChecksum(const MappingReader& frame_keys,
                                         const FrameDefinition& frame, Draft& draft) {
  const YamlNode* node = frame_keys.Find("checksum");
  if (node == nullptr) return std::nullopt;
  return ChecksumReader(*node, frame_keys, frame, draft).Read();
}

}  // namespace proofdrive::decoders
