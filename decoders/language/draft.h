// The definitions while they are being read, with what only the loader needs to know.
#pragma once

#include <map>
#include <optional>
#include <string>

#include "core/base/bytes.h"
#include "decoders/authoring/reporter.h"
#include "decoders/authoring/yaml_source.h"
#include "decoders/model/definitions.h"

namespace proofdrive::decoders {

using NameMarks = std::map<std::string, Mark, std::less<>>;

// A condition or formula that can be checked only when all signals are known.
struct PendingFormula {
  const YamlNode* node = nullptr;         // its text
  std::uint32_t computed = kNotComputed;  // index into Definitions::computed
  bool gate = false;                      // `valid when`: can use only signals of frames
  static constexpr std::uint32_t kNotComputed = 0xFFFFFFFF;
};

struct Draft {
  explicit Draft(Reporter& all_mistakes) : reporter(all_mistakes) {}

  // Takes a name of its kind ("signal", "frame", ...). False, and reported with both places, when
  // it is taken already or cannot be used in formulas.
  bool TakeName(NameMarks& names, const std::string& kind, const YamlNode& node);

  Reporter& reporter;
  Definitions definitions;
  std::optional<ByteOrder> order;            // of the file being read
  KnownFrom known_from = KnownFrom::kGuess;  // of the file being read
  NameMarks buses;
  NameMarks frames;
  NameMarks signals;
  NameMarks control_units;
  NameMarks warnings;
  std::optional<Mark> vehicle;
  NameMarks facts;
  std::vector<PendingFormula> formulas;
};

}  // namespace proofdrive::decoders
