#include "decoders/model/definitions.h"

#include <algorithm>

namespace proofdrive::decoders {
namespace {

template <class Item>
std::optional<std::uint32_t> FindByName(const std::vector<Item>& items, std::string_view name) {
  const auto found =
      std::find_if(items.begin(), items.end(), [&](const Item& item) { return item.name == name; });
  if (found == items.end()) return std::nullopt;
  return static_cast<std::uint32_t>(found - items.begin());
}

}  // namespace

unsigned Location::bits() const {
  unsigned sum = 0;
  for (const Piece& piece : pieces) sum += piece.count;
  return sum;
}

std::size_t Location::bytes_needed() const {
  std::size_t needed = 0;
  for (const Piece& piece : pieces) needed = std::max(needed, std::size_t{piece.byte} + 1);
  return needed;
}

std::string Signal::StateOf(std::int64_t raw) const {
  for (const StateName& state : states) {
    if (raw >= state.first && raw <= state.last) return state.name;
  }
  return {};
}

std::string_view WarningSeverityName(WarningSeverity severity) {
  switch (severity) {
    case WarningSeverity::kNote:
      return "note";
    case WarningSeverity::kSoon:
      return "soon";
    case WarningSeverity::kStop:
      return "stop";
  }
  return "note";
}

std::optional<std::uint32_t> Definitions::FindSignal(std::string_view name) const {
  return FindByName(signals, name);
}

std::optional<std::uint32_t> Definitions::FindFrame(std::string_view name) const {
  return FindByName(frames, name);
}

std::optional<std::uint32_t> Definitions::FindWarning(std::string_view name) const {
  return FindByName(warnings, name);
}

std::vector<std::uint32_t> Definitions::SignalsWithRole(RoleName role) const {
  std::vector<std::uint32_t> found;
  for (std::uint32_t i = 0; i < signals.size(); ++i) {
    if (signals[i].role == role) found.push_back(i);
  }
  return found;
}

}  // namespace proofdrive::decoders
