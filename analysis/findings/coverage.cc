#include "analysis/findings/coverage.h"

#include <algorithm>
#include <optional>
#include <set>
#include <tuple>

#include "decoders/signals/frame_index.h"

namespace proofdrive::analysis {
namespace {

using decoders::Definitions;

bool IsOfUnit(const Definitions& definitions, std::uint32_t id, bool extended) {
  return std::any_of(definitions.control_units.begin(), definitions.control_units.end(),
                     [&](const decoders::ControlUnit& unit) {
                       return unit.extended == extended &&
                              (unit.request == id || unit.answer == id);
                     });
}

class Counter {
 public:
  Counter(const Definitions* definitions, const session::Header& header)
      : definitions_(definitions) {
    counted_.has_definitions = definitions != nullptr;
    if (definitions != nullptr) index_.emplace(*definitions, ChannelBuses(header));
  }

  // Several lengths of one identifier are one.
  void Add(std::uint8_t channel, std::uint32_t id, std::uint8_t flags) {
    if ((flags & (kRemote | kErrorMessage)) != 0) return;
    const bool extended = (flags & kExtendedId) != 0;
    if (!seen_.insert({channel, id, extended}).second) return;
    ++counted_.identifiers;
    if (definitions_ == nullptr) return;
    const auto kind = static_cast<std::uint8_t>(flags & kExtendedId);
    if (index_->Find({channel, id, kind, 0}) >= 0 || IsOfUnit(*definitions_, id, extended)) {
      ++counted_.described;
    }
  }

  const Coverage& counted() const { return counted_; }

 private:
  const Definitions* definitions_;
  std::optional<decoders::FrameIndex> index_;
  std::set<std::tuple<std::uint8_t, std::uint32_t, bool>> seen_;
  Coverage counted_;
};

}  // namespace

Coverage CoverageOf(const session::Reader& reader, const DefinitionSet& set) {
  Counter counter(set.definitions.get(), reader.header());
  for (const session::StreamInfo& stream : reader.streams()) {
    counter.Add(stream.key.channel, stream.key.id, stream.key.flags);
  }
  return counter.counted();
}

Coverage CoverageOf(const SessionFindings& findings) {
  Counter counter(findings.definitions.get(), findings.header);
  for (const StreamTraffic& stream : findings.traffic) {
    counter.Add(stream.channel, stream.id, stream.flags);
  }
  return counter.counted();
}

}  // namespace proofdrive::analysis
