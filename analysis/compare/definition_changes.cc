#include "analysis/compare/definition_changes.h"

#include <algorithm>
#include <bit>
#include <cstdio>

#include "analysis/statistics/summaries.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

using decoders::FrameFaults;
using decoders::Signal;

// Of the likely places, one must share this much of the moving bits.
constexpr double kLeastLikeness = 0.5;

bool Most(std::uint64_t part, std::uint64_t whole) { return part * 2 > whole; }

std::string Of(std::uint64_t part, std::uint64_t whole, const char* noun) {
  return FormatCount(part) + " of " + CountOf(whole, noun);
}

// The stream of a defined frame with the most frames; null when it was never seen.
const StreamTraffic* StreamOf(const SessionFindings& findings, const std::string& frame) {
  const StreamTraffic* best = nullptr;
  for (const StreamTraffic& stream : findings.traffic) {
    if (stream.frame == frame && (best == nullptr || stream.frames > best->frames)) best = &stream;
  }
  return best;
}

std::uint64_t FramesNamed(const SessionFindings& findings, const std::string& frame) {
  std::uint64_t frames = 0;
  for (const StreamTraffic& stream : findings.traffic) {
    if (stream.frame == frame) frames += stream.frames;
  }
  return frames;
}

// Bits that moved in both, as a share of those that moved in either.
double Likeness(const std::vector<std::uint8_t>& a, const std::vector<std::uint8_t>& b) {
  int both = 0, either = 0;
  for (std::size_t i = 0; i < std::max(a.size(), b.size()); ++i) {
    const unsigned x = i < a.size() ? a[i] : 0U;
    const unsigned y = i < b.size() ? b[i] : 0U;
    both += std::popcount(x & y);
    either += std::popcount(x | y);
  }
  return either == 0 ? 0 : static_cast<double>(both) / either;
}

bool SamePeriod(const StreamTraffic& a, const StreamTraffic& b) {
  const double x = ToSeconds(a.median_period), y = ToSeconds(b.median_period);
  return x > 0 && y > 0 && std::max(x, y) <= kPeriodRatio * std::min(x, y);
}

const StreamTraffic* FindStream(const SessionFindings& findings, const StreamName& name) {
  for (const StreamTraffic& stream : findings.traffic) {
    if (stream.id == name.id && stream.flags == name.flags &&
        ChannelLabel(findings.header, stream.channel) == name.bus) {
      return &stream;
    }
  }
  return nullptr;
}

// Among the identifiers that only the after-session has and nobody described.
std::vector<LikelyPlace> LikelyPlacesOf(const StreamTraffic& gone, const SessionFindings& after,
                                        const TrafficComparison& traffic) {
  std::vector<LikelyPlace> places;
  for (const OneSided& one : traffic.only_after) {
    const StreamTraffic* stream = FindStream(after, one.stream);
    if (stream == nullptr || !stream->frame.empty()) continue;
    const bool same_lengths = std::equal(
        stream->lengths.begin(), stream->lengths.end(), gone.lengths.begin(), gone.lengths.end(),
        [](const auto& a, const auto& b) { return a.first == b.first; });
    if (!same_lengths || !SamePeriod(gone, *stream)) continue;
    const double likeness = Likeness(gone.changed, stream->changed);
    if (likeness < kLeastLikeness) continue;
    char share[32];
    std::snprintf(share, sizeof(share), "%.0f %%", likeness * 100);
    places.push_back({one.stream, likeness, PlaceFit::kNotTold,
                      std::string("same length and period, and ") + share +
                          " of the bits that move are the same"});
  }
  std::stable_sort(places.begin(), places.end(), [](const LikelyPlace& a, const LikelyPlace& b) {
    return a.likeness > b.likeness;
  });
  return places;
}

class Comparer {
 public:
  Comparer(const SessionFindings& before, const SessionFindings& after,
           const TrafficComparison& traffic)
      : before_(before), after_(after), traffic_(traffic), definitions_(*after.definitions) {}

  std::vector<DefinitionChange> Run() {
    for (std::size_t i = 0; i < definitions_.frames.size(); ++i) CompareFrame(i);
    for (const decoders::Computed& computed : definitions_.computed) {
      CompareSignal(computed.signal, "");
    }
    return std::move(changes_);
  }

 private:
  void Add(const std::string& frame, const std::string& signal, const char* what,
           std::string before, std::string after) {
    changes_.push_back({frame, signal, what, std::move(before), std::move(after), {}});
  }

  void CompareFrame(std::size_t index) {
    const decoders::FrameDefinition& frame = definitions_.frames[index];
    const std::uint64_t old = FramesNamed(before_, frame.name);
    const std::uint64_t now = FramesNamed(after_, frame.name);
    if (old == 0) return;
    if (now == 0) {
      NeverSeen(frame, old);
      return;
    }
    AtBothPlaces(frame);
    const FrameFaults& a = before_.faults[index];
    const FrameFaults& b = after_.faults[index];
    Faults(frame.name, "checksum fails", a.checksum_faults, old, b.checksum_faults, now);
    Faults(frame.name, kCounterFails, a.counter_faults, old - a.checksum_faults, b.counter_faults,
           now - b.checksum_faults);
    Faults(frame.name, "wrong length", a.wrong_length, old, b.wrong_length, now);
    for (const std::uint32_t signal : frame.signals) CompareSignal(signal, frame.name);
  }

  // The identifier it moved from still comes, so it may carry something else now.
  void AtBothPlaces(const decoders::FrameDefinition& frame) {
    if (!frame.moved_to) return;
    const auto at = [&](const SessionFindings& findings, std::uint32_t id) {
      std::uint64_t frames = 0;
      for (const StreamTraffic& stream : findings.traffic) {
        if (stream.frame == frame.name && stream.id == id) frames += stream.frames;
      }
      return frames;
    };
    const auto text = [&](const SessionFindings& findings) {
      const auto flags = static_cast<std::uint8_t>(frame.extended ? kExtendedId : 0);
      return FormatCount(at(findings, frame.id)) + " on " + FormatId(frame.id, flags) + ", " +
             FormatCount(at(findings, *frame.moved_to)) + " on " + FormatId(*frame.moved_to, flags);
    };
    for (const SessionFindings* findings : {&before_, &after_}) {
      if (at(*findings, frame.id) == 0 || at(*findings, *frame.moved_to) == 0) continue;
      Add(frame.name, "", kAtBothPlaces, text(before_), text(after_));
      return;
    }
  }

  void NeverSeen(const decoders::FrameDefinition& frame, std::uint64_t old) {
    const StreamTraffic& gone = *StreamOf(before_, frame.name);
    if (MayBeChance(old, ToSeconds(before_.length), ToSeconds(after_.length))) return;
    Add(frame.name, "", "never seen",
        CountOf(old, "frame") + " on " + FormatId(gone.id, gone.flags), "none");
    changes_.back().places = LikelyPlacesOf(gone, after_, traffic_);
  }

  void Faults(const std::string& frame, const char* what, std::uint64_t a, std::uint64_t all_a,
              std::uint64_t b, std::uint64_t all_b) {
    if (Most(a, all_a) || !Most(b, all_b)) return;
    Add(frame, "", what, "in " + Of(a, all_a, "frame"), "in " + Of(b, all_b, "frame"));
  }

  void CompareSignal(std::uint32_t index, const std::string& frame) {
    const Signal& signal = definitions_.signals[index];
    const SignalRecord& a = before_.signals[index];
    const SignalRecord& b = after_.signals[index];
    if (a.values == 0 || b.values == 0) return;
    const std::uint64_t old = a.values - a.absent, now = b.values - b.absent;
    if (old > 0 && now == 0) {
      Add(frame, signal.name, "always absent", Of(a.absent, a.values, "value") + " absent",
          "all " + CountOf(b.values, "value") + " absent");
      return;
    }
    if (!Most(a.out_of_range, old) && Most(b.out_of_range, now)) {
      Add(frame, signal.name, "out of range", Of(a.out_of_range, old, "value"),
          Of(b.out_of_range, now, "value"));
    }
    const bool names = !signal.states.empty() && signal.unit.empty() && !signal.range;
    if (names && a.unnamed == 0 && b.unnamed > 0 &&
        !MayBeChance(b.unnamed, static_cast<double>(now), static_cast<double>(old))) {
      Add(frame, signal.name, "unknown states", "every value has a name",
          Of(b.unnamed, now, "value") + " without a name");
    }
  }

  const SessionFindings& before_;
  const SessionFindings& after_;
  const TrafficComparison& traffic_;
  const decoders::Definitions& definitions_;
  std::vector<DefinitionChange> changes_;
};

}  // namespace

std::string MovedAdvice(const DefinitionChange& change, const decoders::Definitions& definitions) {
  const auto index = definitions.FindFrame(change.frame);
  if (!index || change.places.empty() || change.places[0].fit == PlaceFit::kDoesNotFit) return "";
  const decoders::FrameDefinition& frame = definitions.frames[*index];
  const StreamName& place = change.places[0].stream;
  const std::uint32_t all_bits = frame.extended ? kMaxExtendedId : kMaxBaseId;
  const bool same_kind = ((place.flags & kExtendedId) != 0) == frame.extended &&
                         (frame.bus.empty() || frame.bus == place.bus);
  if (!same_kind || (frame.mask & all_bits) != all_bits || frame.moved_to) {
    return "describe " + FormatId(place.id, place.flags) + " on " + place.bus +
           " as a frame of its own";
  }
  return "add \"moved to: 0x" + FormatId(place.id, place.flags) + "\" to frame " + frame.name;
}

std::vector<DefinitionChange> CompareDefinitions(const SessionFindings& before,
                                                 const SessionFindings& after,
                                                 const TrafficComparison& traffic) {
  if (after.definitions == nullptr || before.faults.size() != after.faults.size() ||
      before.signals.size() != after.signals.size()) {
    return {};
  }
  return Comparer(before, after, traffic).Run();
}

}  // namespace proofdrive::analysis
