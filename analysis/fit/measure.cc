#include "analysis/fit/measure.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <set>
#include <tuple>

#include "analysis/fit/page_lengths.h"
#include "analysis/pass/pass.h"
#include "analysis/session/traffic_stats.h"

namespace proofdrive::analysis {
namespace {

using decoders::Definitions;
using decoders::FrameDefinition;
using decoders::Signal;
using decoders::Validity;
using decoders::Value;

constexpr std::size_t kUnnamedKept = 8;

std::size_t BytesNeeded(const Definitions& definitions, const FrameDefinition& frame) {
  std::size_t needed = 0;
  const auto add = [&](const decoders::Location& location) {
    needed = std::max(needed, location.bytes_needed());
  };
  for (const std::uint32_t index : frame.signals) {
    const Signal& signal = definitions.signals[index];
    // Pages may differ in length, and the last one of a list may be partly filled.
    if (signal.page || (signal.is_series && frame.page)) continue;
    add(signal.location);
    for (const decoders::Location& element : signal.elements) add(element);
  }
  if (frame.page) add(*frame.page);
  if (frame.counter) add(frame.counter->location);
  if (frame.checksum) {
    add(frame.checksum->location);
    needed = std::max<std::size_t>(needed, frame.checksum->last_byte + std::size_t{1});
  }
  return needed;
}

// True when every raw value should have a name: nothing says that the others are numbers.
bool IsEnumeration(const Signal& signal) {
  return !signal.states.empty() && signal.unit.empty() && !signal.range && signal.scale == 1 &&
         signal.offset == 0;
}

class Measurement {
 public:
  explicit Measurement(SessionFit& fit)
      : fit_(fit),
        page_lengths_(*fit.definitions),
        too_short_(fit.definitions->signals.size()),
        first_raw_(fit.definitions->signals.size()) {
    const Definitions& definitions = *fit_.definitions;
    fit_.defined.resize(definitions.frames.size());
    contents_.resize(definitions.frames.size());
    fit_.signals.resize(definitions.signals.size());
    for (std::size_t i = 0; i < definitions.frames.size(); ++i) {
      fit_.defined[i].needed = BytesNeeded(definitions, definitions.frames[i]);
    }
    for (std::size_t i = 0; i < definitions.signals.size(); ++i) {
      enumeration_.push_back(IsEnumeration(definitions.signals[i]));
      first_raw_[i].resize(definitions.signals[i].count);
    }
  }

  void Add(const Frame& frame, Duration at, int definition, bool checksum_fails) {
    ++fit_.frames;
    ++fit_.channel_frames[frame.channel];
    fit_.length = at;
    traffic_.Add(frame, at);
    if (definition < 0) return;
    const auto index = static_cast<std::size_t>(definition);
    stream_frames_[{frame.channel, frame.id, frame.Is(kExtendedId)}] = index;
    FrameFit& fit = fit_.defined[index];
    ++fit.frames;
    ++fit.lengths[frame.length];
    const bool too_short = frame.length < fit.needed;
    if (!too_short && !checksum_fails) Test(frame, index, fit);
    if (too_short) ++fit.too_short;
    if (!too_short && !checksum_fails) ++fit.decoded;
    if (!checksum_fails) page_lengths_.Count(frame, index, too_short_);
  }

  void Add(const Value& value) {
    SignalFit& fit = fit_.signals[value.signal];
    ++fit.values;
    auto& first = first_raw_[value.signal][value.element];
    if (first && *first != value.raw) fit.changes = true;
    if (!first) first = value.raw;
    if (value.validity == Validity::kAbsent) {
      ++fit.absent;
      return;
    }
    if (value.validity == Validity::kOutOfRange) ++fit.out_of_range;
    // fmin and fmax pass over the NaN of a text.
    fit.lowest = std::fmin(fit.lowest, value.number);
    fit.highest = std::fmax(fit.highest, value.number);
    if (enumeration_[value.signal]) AddState(value, fit);
  }

  void Finish(const std::vector<decoders::FrameFaults>& faults) {
    for (std::size_t i = 0; i < faults.size(); ++i) {
      fit_.defined[i].wrong_length = faults[i].wrong_length;
      fit_.defined[i].checksum_faults = faults[i].checksum_faults;
      fit_.defined[i].counter_faults = faults[i].counter_faults;
    }
    for (std::size_t i = 0; i < too_short_.size(); ++i) fit_.signals[i].too_short = too_short_[i];
    for (const StreamTraffic& traffic : traffic_.Finish()) Sort(traffic);
    std::stable_sort(fit_.not_described.begin(), fit_.not_described.end(),
                     [](const auto& a, const auto& b) { return a.frames > b.frames; });
  }

 private:
  // What a checksum and a counter that are right were right about.
  void Test(const Frame& frame, std::size_t index, FrameFit& fit) {
    const FrameDefinition& definition = fit_.definitions->frames[index];
    if (definition.counter && !counted_streams_.insert({index, frame.channel, frame.id}).second) {
      ++fit.counter_steps;
    }
    if (!definition.checksum || fit.checksum_contents >= kContentsCounted) return;
    const decoders::ChecksumRule& rule = *definition.checksum;
    const auto first = frame.data.begin() + rule.first_byte;
    std::vector<std::uint8_t> covered(first, frame.data.begin() + rule.last_byte + 1);
    if (contents_[index].insert(std::move(covered)).second) ++fit.checksum_contents;
  }

  void AddState(const Value& value, SignalFit& fit) const {
    if (!fit_.definitions->signals[value.signal].StateOf(value.raw).empty()) return;
    ++fit.unnamed_values;
    const auto found = fit.unnamed.find(value.raw);
    if (found != fit.unnamed.end()) {
      ++found->second;
    } else if (fit.unnamed.size() < kUnnamedKept) {
      fit.unnamed[value.raw] = 1;
    }
  }

  void Sort(const StreamTraffic& traffic) {
    if ((traffic.flags & (kRemote | kErrorMessage)) != 0) return;
    const bool extended = (traffic.flags & kExtendedId) != 0;
    const auto found = stream_frames_.find({traffic.channel, traffic.id, extended});
    if (found == stream_frames_.end()) {
      if (!IsDiagnosis(traffic.id, extended)) fit_.not_described.push_back(traffic);
      return;
    }
    FrameFit& fit = fit_.defined[found->second];
    if (traffic.frames <= fit.period_frames) return;
    fit.period_frames = traffic.frames;
    fit.median_period = traffic.median_period;
  }

  bool IsDiagnosis(std::uint32_t id, bool extended) const {
    const auto& units = fit_.definitions->control_units;
    return std::any_of(units.begin(), units.end(), [&](const decoders::ControlUnit& unit) {
      return unit.extended == extended && (unit.request == id || unit.answer == id);
    });
  }

  SessionFit& fit_;
  PageLengths page_lengths_;
  std::vector<std::uint64_t> too_short_;  // per signal
  TrafficStats traffic_;
  std::map<std::tuple<std::uint8_t, std::uint32_t, bool>, std::size_t> stream_frames_;
  std::vector<std::set<std::vector<std::uint8_t>>> contents_;  // per frame
  std::set<std::tuple<std::size_t, std::uint8_t, std::uint32_t>> counted_streams_;
  std::vector<bool> enumeration_;                                    // per signal
  std::vector<std::vector<std::optional<std::int64_t>>> first_raw_;  // per signal and element
};

// Tells the measurement of every frame, and whether its checksum fails.
class FitTaker : public FrameConsumer {
 public:
  FitTaker(const Pass& pass, Measurement& measurement) : pass_(pass), measurement_(measurement) {}

  bool OnFrame(const DecodedFrame& decoded) override {
    measurement_.Add(decoded.frame, decoded.at, decoded.definition, ChecksumFails(decoded));
    for (const Value& value : decoded.values) measurement_.Add(value);
    return true;
  }

 private:
  bool ChecksumFails(const DecodedFrame& decoded) {
    if (decoded.definition < 0) return false;
    const std::vector<decoders::FrameFaults>& faults = pass_.decoder()->faults();
    failed_.resize(faults.size());
    const auto at = static_cast<std::size_t>(decoded.definition);
    const bool fails = faults[at].checksum_faults != failed_[at];
    failed_[at] = faults[at].checksum_faults;
    return fails;
  }

  const Pass& pass_;
  Measurement& measurement_;
  std::vector<std::uint64_t> failed_;  // per definition, so far
};

}  // namespace

Result<SessionFit> MeasureFit(session::Reader& reader,
                              const std::shared_ptr<const Definitions>& definitions) {
  SessionFit fit;
  fit.definitions = definitions;
  fit.header = reader.header();
  Measurement measurement(fit);
  Pass pass(reader, definitions);
  FitTaker taker(pass, measurement);
  pass.Add(taker);
  RETURN_IF_ERROR(pass.Run());
  if (pass.decoder() != nullptr) measurement.Finish(pass.decoder()->faults());
  return fit;
}

}  // namespace proofdrive::analysis
