#include "analysis/compare/traffic.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>
#include <tuple>

#include "analysis/compare/channels.h"
#include "analysis/compare/traffic_details.h"

namespace proofdrive::analysis {
namespace {

// Error messages are reports of the adapter, questions and answers those of whoever asked: not
// traffic of the vehicle.
class NotTraffic {
 public:
  NotTraffic(const SessionFindings& before, const SessionFindings& after) {
    for (const SessionFindings* findings : {&before, &after}) {
      for (const decoders::UnitReport& unit : findings->asked.units) {
        asked_.insert(unit.answer);
        if (unit.request) asked_.insert(*unit.request);
      }
      for (const auto& [place, asked] : findings->asked.codes.asked) asked_.insert(place.second);
    }
  }
  bool Has(const StreamTraffic& stream) const {
    if ((stream.flags & kErrorMessage) != 0) return true;
    const decoders::BusAddress address{stream.id, (stream.flags & kExtendedId) != 0};
    return asked_.contains(address) || (!asked_.empty() && decoders::IsFunctional(address));
  }

 private:
  std::set<decoders::BusAddress> asked_;
};

StreamName NameOf(const SessionFindings& findings, const StreamTraffic& stream) {
  return {ChannelLabel(findings.header, stream.channel), stream.id, stream.flags, stream.frame};
}

OneSided MakeOneSided(const StreamTraffic& stream, const SessionFindings& here,
                      const SessionFindings& there) {
  return {NameOf(here, stream), stream.frames, stream.median_period,
          MayBeChance(stream.frames, ToSeconds(here.length), ToSeconds(there.length))};
}

double MeanPeriod(const StreamTraffic& stream) {
  return ToSeconds(stream.last - stream.first) / static_cast<double>(stream.frames - 1);
}

// True when b is outside 1/kPeriodRatio..kPeriodRatio of a, upward or downward as `up` says.
bool Differs(double a, double b, bool up) {
  return up ? b > a * kPeriodRatio : b * kPeriodRatio < a;
}

// Median and mean must agree: the median alone jumps when frames are sent in bursts, the mean alone
// when a sender pauses.
bool PeriodChanged(const StreamTraffic& before, const StreamTraffic& after) {
  if (before.frames <= kMinIntervals || after.frames <= kMinIntervals) return false;
  const double a = ToSeconds(before.median_period);
  const double b = ToSeconds(after.median_period);
  const bool up = b > a;
  const double spread = ToSeconds(before.spread + after.spread);
  return Differs(a, b, up) && Differs(MeanPeriod(before), MeanPeriod(after), up) &&
         std::fabs(b - a) > kSpreads * spread;
}

// A length that `stream` has and `other` lacks, and not by chance.
bool HasOwnLength(const StreamTraffic& stream, const StreamTraffic& other) {
  return std::any_of(stream.lengths.begin(), stream.lengths.end(), [&](const auto& entry) {
    return !other.lengths.contains(entry.first) &&
           !MayBeChance(entry.second, static_cast<double>(stream.frames),
                        static_cast<double>(other.frames));
  });
}

void CompareStream(const StreamTraffic& old, const StreamTraffic& now,
                   const SessionFindings& before, const SessionFindings& after,
                   TrafficComparison& comparison) {
  ++comparison.in_both;
  const StreamName name = NameOf(after, now);
  CompareRate(name, old, now, ToSeconds(before.length), ToSeconds(after.length), comparison);
  CompareJitter(name, old, now, comparison);
  const auto described = DescribedBits(after.definitions.get(), now.frame);
  CompareBits(name, old, now, described, comparison);
  CompareConstants(name, old, now, described, comparison);
  if (PeriodChanged(old, now)) {
    comparison.period.push_back({name, old.median_period, now.median_period});
  }
  if (HasOwnLength(old, now) || HasOwnLength(now, old)) {
    comparison.length.push_back({name, old.lengths, now.lengths});
  }
}

// The identifier that a frame of the after-session had before, as its definition says.
std::optional<std::uint32_t> MovedFrom(const SessionFindings& after, const StreamTraffic& stream) {
  if (after.definitions == nullptr || stream.frame.empty()) return std::nullopt;
  const auto index = after.definitions->FindFrame(stream.frame);
  if (!index || after.definitions->frames[*index].moved_to != stream.id) return std::nullopt;
  return after.definitions->frames[*index].id;
}

}  // namespace

TrafficComparison CompareTraffic(const SessionFindings& before, const SessionFindings& after) {
  std::map<std::tuple<int, std::uint32_t, std::uint8_t>, const StreamTraffic*> old;
  const NotTraffic not_traffic(before, after);
  for (const StreamTraffic& stream : before.traffic) {
    if (!not_traffic.Has(stream)) old[{stream.channel, stream.id, stream.flags}] = &stream;
  }
  std::map<std::uint8_t, int> channels = MatchChannels(before, after);
  TrafficComparison comparison;
  for (const StreamTraffic& stream : after.traffic) {
    if (not_traffic.Has(stream)) continue;
    const int channel = channels[stream.channel];
    auto found = old.find({channel, stream.id, stream.flags});
    const auto from = found == old.end() ? MovedFrom(after, stream) : std::nullopt;
    if (from) found = old.find({channel, *from, stream.flags});
    if (from && found != old.end()) {
      comparison.moved.push_back({NameOf(before, *found->second), NameOf(after, stream)});
    }
    if (found == old.end()) {
      comparison.only_after.push_back(MakeOneSided(stream, after, before));
      continue;
    }
    CompareStream(*found->second, stream, before, after, comparison);
    old.erase(found);
  }
  for (const StreamTraffic& stream : before.traffic) {
    if (old.contains({stream.channel, stream.id, stream.flags})) {
      comparison.only_before.push_back(MakeOneSided(stream, before, after));
    }
  }
  CompareBuses(before, after, channels, comparison);
  CompareFaults(before, after, comparison);
  FindSilentUnits(before, after, comparison);
  return comparison;
}

}  // namespace proofdrive::analysis
