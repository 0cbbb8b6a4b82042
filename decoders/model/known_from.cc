#include "decoders/model/known_from.h"

#include <cstddef>
#include <iterator>

namespace proofdrive::decoders {
namespace {

constexpr std::string_view kNames[] = {"guess", "survey", "reading", "measurement", "document"};

}  // namespace

std::string_view KnownFromName(KnownFrom known) { return kNames[static_cast<std::size_t>(known)]; }

std::optional<KnownFrom> KnownFromOf(std::string_view word) {
  for (std::size_t i = 0; i < std::size(kNames); ++i) {
    if (kNames[i] == word) return static_cast<KnownFrom>(i);
  }
  return std::nullopt;
}

}  // namespace proofdrive::decoders
