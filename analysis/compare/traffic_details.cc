#include "analysis/compare/traffic_details.h"

#include <algorithm>
#include <cmath>
#include <set>
#include <utility>

#include "analysis/statistics/summaries.h"
#include "core/base/decimals.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

double Ratio(double a, double b) { return std::max(a, b) / std::max(std::min(a, b), 1e-12); }

Duration Percentile(const StreamTraffic& stream, std::size_t percent) {
  return FromSeconds(static_cast<double>(stream.percentiles[percent]));
}

// Bits set in `here`, clear in `there`; a byte that `there` does not have has no bits there.
std::vector<std::uint8_t> Without(const std::vector<std::uint8_t>& here,
                                  const std::vector<std::uint8_t>& there) {
  std::vector<std::uint8_t> bits = here;
  for (std::size_t i = 0; i < bits.size(); ++i) {
    const std::uint8_t other = i < there.size() ? there[i] : std::uint8_t{0};
    bits[i] = static_cast<std::uint8_t>(bits[i] & ~other);
  }
  return bits;
}

void Describe(const decoders::Location& location, std::vector<std::uint8_t>& bits) {
  for (const decoders::Piece& piece : location.pieces) {
    if (piece.byte >= bits.size()) bits.resize(piece.byte + std::size_t{1});
    const unsigned mask = ((1U << piece.count) - 1U) << piece.lowest_bit;
    bits[piece.byte] = static_cast<std::uint8_t>(bits[piece.byte] | mask);
  }
}

std::string ByteText(std::size_t byte, std::uint8_t mask) {
  const unsigned bits = mask;
  std::vector<std::string> runs;
  for (unsigned bit = 0; bit < 8; ++bit) {
    if ((bits >> bit & 1U) == 0) continue;
    const unsigned first = bit;
    while (bit < 7 && (bits >> (bit + 1) & 1U) != 0) ++bit;
    runs.push_back(first == bit ? std::to_string(first)
                                : std::to_string(first) + "-" + std::to_string(bit));
  }
  const std::string name = "byte " + std::to_string(byte);
  if (mask == 0xFF) return name;
  const bool one = runs.size() == 1 && runs[0].size() == 1;
  return name + (one ? " bit " : " bits ") + Join(runs, "+");
}

unsigned At(const std::vector<std::uint8_t>& bytes, std::size_t index) {
  return index < bytes.size() ? bytes[index] : 0U;
}

std::string Hex(unsigned byte) {
  const std::uint8_t bytes[] = {static_cast<std::uint8_t>(byte)};
  return HexBytes(bytes);
}

// An identifier without a period of its own has no late frames.
bool IsPeriodic(const StreamTraffic& stream) {
  return stream.frames > kMinIntervals && stream.spread * 4 < stream.median_period;
}

// Identifiers of a channel that have a period.
std::set<std::pair<std::uint32_t, std::uint8_t>> Periodic(const SessionFindings& findings,
                                                          int channel) {
  std::set<std::pair<std::uint32_t, std::uint8_t>> ids;
  for (const StreamTraffic& stream : findings.traffic) {
    if (stream.channel == channel && IsPeriodic(stream)) ids.emplace(stream.id, stream.flags);
  }
  return ids;
}

// Late and missing frames are those of identifiers that have a period in both sessions: between the
// bursts of a flood nothing is missing.
BusFigures FiguresOf(const SessionFindings& findings, int channel,
                     const std::set<std::pair<std::uint32_t, std::uint8_t>>& elsewhere) {
  BusFigures figures;
  for (const BusRecord& bus : findings.buses) {
    if (bus.channel != channel) continue;
    figures.there = true;
    figures.frames = bus.frames;
    figures.load = bus.Load();
    figures.longest_silence = bus.longest_silence;
    figures.error_messages = bus.error_messages;
  }
  for (const StreamTraffic& stream : findings.traffic) {
    if (stream.channel != channel || !IsPeriodic(stream)) continue;
    if (!elsewhere.contains({stream.id, stream.flags})) continue;
    figures.intervals += stream.intervals;
    figures.late += stream.late;
    figures.missed += stream.missed;
  }
  for (const SessionEvent& event : findings.events) {
    const bool off = event.event.kind == session::EventKind::kChannelState &&
                     event.event.text.find("bus-off") != std::string::npos;
    if (off && event.event.channel == channel) ++figures.bus_off;
  }
  return figures;
}

std::string SpokenSilence(Duration duration) {
  const double seconds = ToSeconds(duration);
  return seconds < 1 ? Decimals(seconds * 1e3, 1) + " ms" : Decimals(seconds, 1) + " s";
}

std::string Percent(double share) { return Decimals(share * 100, 1) + " %"; }

double LateShare(const BusFigures& figures) {
  if (figures.intervals == 0) return 0;
  return static_cast<double>(figures.late) / static_cast<double>(figures.intervals);
}

void AddLate(BusChange& bus) {
  const double a = LateShare(bus.before), b = LateShare(bus.after);
  const double chance = ChanceOfCounts(bus.before.late, static_cast<double>(bus.before.intervals),
                                       bus.after.late, static_cast<double>(bus.after.intervals));
  if (Ratio(a, b) < kLateGrowth || std::fabs(b - a) < kLateShare || chance >= kChance) return;
  bus.reasons.push_back(FormatCount(bus.after.late) + " of " + FormatCount(bus.after.intervals) +
                        " intervals are late, about " + FormatCount(bus.after.missed) +
                        " frames missing (before: " + FormatCount(bus.before.late) + " of " +
                        FormatCount(bus.before.intervals) + ", about " +
                        FormatCount(bus.before.missed) + ")");
}

void AddSilence(BusChange& bus) {
  const Duration a = bus.before.longest_silence, b = bus.after.longest_silence;
  const Duration difference = a > b ? a - b : b - a;
  if (bus.before.frames < kManyFrames || bus.after.frames < kManyFrames) return;
  if (Ratio(ToSeconds(a), ToSeconds(b)) < kSilenceRatio || difference < kSilenceGrowth) return;
  bus.reasons.push_back("longest silence " + SpokenSilence(b) + " (before: " + SpokenSilence(a) +
                        ")");
}

void AddLoad(BusChange& bus) {
  const double a = bus.before.load, b = bus.after.load;
  if (a <= 0 || b <= 0 || Ratio(a, b) < kPeriodRatio || std::fabs(b - a) < kLoadShare) return;
  bus.reasons.push_back("load at least " + Percent(b) + " (before: " + Percent(a) + ")");
}

void AddErrors(BusChange& bus, double before_s, double after_s) {
  const auto differs = [&](std::uint64_t a, std::uint64_t b) {
    return ChanceOfCounts(a, before_s, b, after_s) < kChance;
  };
  const auto phrase = [](std::uint64_t a, std::uint64_t b, const char* what) {
    return FormatCount(b) + what + " (before: " + FormatCount(a) + ")";
  };
  if (differs(bus.before.error_messages, bus.after.error_messages)) {
    bus.reasons.push_back(
        phrase(bus.before.error_messages, bus.after.error_messages, " error messages"));
  }
  if ((bus.before.bus_off == 0) != (bus.after.bus_off == 0)) {
    bus.reasons.push_back(phrase(bus.before.bus_off, bus.after.bus_off, " times bus-off"));
  }
}

// Frames of an identifier, all channels together.
std::uint64_t FramesOfId(const SessionFindings& findings, std::uint32_t id, bool extended) {
  std::uint64_t frames = 0;
  for (const StreamTraffic& stream : findings.traffic) {
    const bool same = ((stream.flags & kExtendedId) != 0) == extended && stream.id == id;
    if (same && (stream.flags & (kRemote | kErrorMessage)) == 0) frames += stream.frames;
  }
  return frames;
}

}  // namespace

std::string BitsText(const std::vector<std::uint8_t>& masks) {
  std::vector<std::string> parts;
  for (std::size_t i = 0; i < masks.size(); ++i) {
    if (masks[i] != 0) parts.push_back(ByteText(i, masks[i]));
  }
  return Join(parts, ", ");
}

void CompareRate(const StreamName& name, const StreamTraffic& before, const StreamTraffic& after,
                 double before_s, double after_s, TrafficComparison& comparison) {
  if (before.frames > kMinIntervals && after.frames > kMinIntervals) return;  // CompareTraffic does
  if (before_s <= 0 || after_s <= 0 || std::max(before.frames, after.frames) < kManyFrames) return;
  const double a = static_cast<double>(before.frames) / before_s;
  const double b = static_cast<double>(after.frames) / after_s;
  if (Ratio(a, b) < kRateRatio) return;
  if (ChanceOfCounts(before.frames, before_s, after.frames, after_s) >= kChance) return;
  comparison.rate.push_back({name, before.frames, after.frames, a, b, after.median_period});
}

void CompareJitter(const StreamName& name, const StreamTraffic& before, const StreamTraffic& after,
                   TrafficComparison& comparison) {
  if (before.frames < kBitFrames || after.frames < kBitFrames) return;
  const double a = ToSeconds(before.spread), b = ToSeconds(after.spread);
  const double period = ToSeconds(std::max(before.median_period, after.median_period));
  if (Ratio(a, b) < kJitterRatio || std::max(a, b) < kJitterShare * period) return;
  const double distance = DistributionDistance(before.percentiles, after.percentiles);
  if (distance < kJitterDistance) return;
  comparison.jitter.push_back({name, before.spread, after.spread, Percentile(before, 1),
                               Percentile(before, 99), Percentile(after, 1), Percentile(after, 99),
                               distance});
}

std::vector<std::uint8_t> DescribedBits(const decoders::Definitions* definitions,
                                        const std::string& name) {
  std::vector<std::uint8_t> bits;
  if (definitions == nullptr || name.empty()) return bits;
  const auto frame =
      std::find_if(definitions->frames.begin(), definitions->frames.end(),
                   [&](const decoders::FrameDefinition& one) { return one.name == name; });
  if (frame == definitions->frames.end()) return bits;
  if (frame->page) Describe(*frame->page, bits);
  if (frame->counter) Describe(frame->counter->location, bits);
  if (frame->checksum) {
    Describe(frame->checksum->location, bits);
    Describe(frame->checksum->nibble, bits);
  }
  for (const std::uint32_t index : frame->signals) {
    const decoders::Signal& signal = definitions->signals[index];
    Describe(signal.location, bits);
    for (const decoders::Location& element : signal.elements) Describe(element, bits);
    for (const auto& inner : signal.inner_pages) Describe(inner.where, bits);
  }
  return bits;
}

void CompareBits(const StreamName& name, const StreamTraffic& before, const StreamTraffic& after,
                 const std::vector<std::uint8_t>& described, TrafficComparison& comparison) {
  if (before.frames < kBitFrames || after.frames < kBitFrames) return;
  const auto text = [&](const StreamTraffic& moving, const StreamTraffic& still) {
    return BitsText(Without(Without(moving.always_changing, still.changed), described));
  };
  const std::string began = text(after, before);
  const std::string stopped = text(before, after);
  if (!began.empty() || !stopped.empty()) comparison.bits.push_back({name, began, stopped});
}

void CompareConstants(const StreamName& name, const StreamTraffic& before,
                      const StreamTraffic& after, const std::vector<std::uint8_t>& described,
                      TrafficComparison& comparison) {
  if (std::min(before.frames, after.frames) < kConstantFrames) return;
  if (before.last_payload.size() != after.last_payload.size()) return;  // told as a length
  std::vector<std::string> parts;
  for (std::size_t i = 0; i < before.last_payload.size(); ++i) {
    const unsigned a = before.last_payload[i], b = after.last_payload[i];
    const unsigned looked_at = ~(At(before.changed, i) | At(after.changed, i) | At(described, i));
    const unsigned differ = (a ^ b) & looked_at & 0xFFU;
    if (differ == 0) continue;
    // Of a byte that is described or moves in part, only the bits that are looked at.
    const bool whole = (looked_at & 0xFFU) == 0xFFU;
    const unsigned shown = whole ? 0xFFU : differ;
    parts.push_back(ByteText(i, static_cast<std::uint8_t>(shown)) + ": " + Hex(a & shown) +
                    " before, " + Hex(b & shown) + " after");
  }
  if (!parts.empty()) comparison.constants.push_back({name, Join(parts, "; ")});
}

void CompareBuses(const SessionFindings& before, const SessionFindings& after,
                  const std::map<std::uint8_t, int>& channels, TrafficComparison& comparison) {
  for (const auto& [channel, old] : channels) {
    BusChange bus;
    bus.bus = ChannelLabel(after.header, channel);
    bus.before = FiguresOf(before, old, Periodic(after, channel));
    bus.after = FiguresOf(after, channel, Periodic(before, old));
    if (bus.before.there && bus.after.there) {
      AddLate(bus);
      AddSilence(bus);
      AddLoad(bus);
      AddErrors(bus, ToSeconds(before.length), ToSeconds(after.length));
    }
    comparison.buses.push_back(std::move(bus));
  }
}

void CompareFaults(const SessionFindings& before, const SessionFindings& after,
                   TrafficComparison& comparison) {
  if (after.definitions == nullptr) return;
  const std::size_t count = std::min(before.faults.size(), after.faults.size());
  for (std::size_t i = 0; i < count; ++i) {
    const decoders::FrameFaults& a = before.faults[i];
    const decoders::FrameFaults& b = after.faults[i];
    const auto add = [&](const char* fault, std::uint64_t old, std::uint64_t now) {
      if (ChanceOfCounts(old, static_cast<double>(a.frames), now, static_cast<double>(b.frames)) <
          kChance) {
        comparison.faults.push_back(
            {after.definitions->frames[i].name, fault, old, a.frames, now, b.frames});
      }
    };
    add("counter", a.counter_faults, b.counter_faults);
    add("checksum", a.checksum_faults, b.checksum_faults);
    add("length", a.wrong_length, b.wrong_length);
  }
}

void FindSilentUnits(const SessionFindings& before, const SessionFindings& after,
                     TrafficComparison& comparison) {
  if (after.definitions == nullptr) return;
  for (const decoders::ControlUnit& unit : after.definitions->control_units) {
    const bool answered = FramesOfId(before, unit.answer, unit.extended) > 0;
    const bool asked = FramesOfId(after, unit.request, unit.extended) > 0;
    const bool answers = FramesOfId(after, unit.answer, unit.extended) > 0;
    if (answered && asked && !answers) comparison.silent_units.push_back(unit.name);
  }
}

}  // namespace proofdrive::analysis
