// How sure a definition is: where its author knows it from.
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace proofdrive::decoders {

// From the weakest to the strongest.
enum class KnownFrom : std::uint8_t {
  kGuess,        // it looks like it; what nobody said anything about is a guess, too
  kSurvey,       // bits that move as they should, and nothing else
  kReading,      // the cluster or a tester showed the same value at the same time
  kMeasurement,  // an instrument of the author's showed the same value at the same time
  kDocument,     // the maker's or a standard's
};
// "guess", "survey", "reading", "measurement", "document".
std::string_view KnownFromName(KnownFrom known);
// nullopt: no such word.
std::optional<KnownFrom> KnownFromOf(std::string_view word);

// Nobody compared it with anything but the recording: what rests on it says so.
constexpr bool IsUnproven(KnownFrom known) { return known <= KnownFrom::kSurvey; }

constexpr KnownFrom Weaker(KnownFrom a, KnownFrom b) { return a < b ? a : b; }

}  // namespace proofdrive::decoders
