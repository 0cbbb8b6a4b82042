#include "analysis/fit/judge_fit.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <map>

#include "analysis/compare/traffic.h"
#include "analysis/verdicts/reasons.h"
#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

using decoders::FrameDefinition;
using decoders::Signal;
using std::string;

// A median of fewer frames says little.
constexpr std::uint64_t kFewFrames = 5;

bool Most(std::uint64_t part, std::uint64_t whole) { return part * 2 > whole; }

// "all 120 frames", "3 of 120 frames (2.5 %)".
string Share(std::uint64_t part, std::uint64_t whole, std::string_view noun) {
  if (part == whole)
    return (whole == 1 ? "the only " : "all ") + (whole == 1 ? string(noun) : CountOf(whole, noun));
  const double percent = 100.0 * static_cast<double>(part) / static_cast<double>(whole);
  char text[32];
  std::snprintf(text, sizeof(text), percent < 1 ? " (%.1g %%)" : " (%.0f %%)",
                std::min(percent, 99.0));
  return FormatCount(part) + " of " + CountOf(whole, noun) + text;
}

string NumberWords(double number) {
  char text[32];
  std::snprintf(text, sizeof(text), "%.6g", number);
  return text;
}

string WithUnit(const string& number, const Signal& signal) {
  return signal.unit.empty() ? number : number + " " + signal.unit;
}

string LengthWords(const std::map<std::uint8_t, std::uint64_t>& lengths) {
  std::vector<string> parts;
  for (const auto& [length, frames] : lengths) parts.push_back(std::to_string(length));
  return Join(parts, ", ") + (parts.size() == 1 && parts[0] == "1" ? " byte" : " bytes");
}

string BytesCovered(const decoders::ChecksumRule& rule) {
  const string first = std::to_string(rule.first_byte);
  return rule.first_byte == rule.last_byte
             ? "byte " + first
             : "bytes " + first + "-" + std::to_string(rule.last_byte);
}

// "0 off, 1 low, 3..5 drive"; the first ones say enough.
string StatesWords(const std::vector<decoders::StateName>& states) {
  constexpr std::size_t kShown = 8;
  std::vector<string> parts;
  for (const decoders::StateName& state : states) {
    if (parts.size() == kShown) {
      parts.push_back("...");
      break;
    }
    const string last = state.last == state.first ? "" : ".." + std::to_string(state.last);
    parts.push_back(std::to_string(state.first) + last + " " + state.name);
  }
  return "states: " + Join(parts, ", ");
}

class FitJudge {
 public:
  explicit FitJudge(const SessionFit& fit) : fit_(fit), definitions_(*fit.definitions) {}

  FitSummary Run() {
    anything_seen_ = std::any_of(fit_.defined.begin(), fit_.defined.end(),
                                 [](const FrameFit& frame) { return frame.frames > 0; });
    summary_.frames = fit_.defined.size();
    for (std::size_t i = 0; i < fit_.defined.size(); ++i) JudgeFrame(i);
    for (const decoders::Computed& computed : definitions_.computed) {
      OutOfRange(definitions_.signals[computed.signal], fit_.signals[computed.signal]);
    }
    for (const auto& [bus, frames] : buses_not_recorded_) NoteBus(bus, frames);
    std::stable_sort(summary_.findings.begin(), summary_.findings.end(),
                     [](const auto& a, const auto& b) { return a.severity < b.severity; });
    for (const FitFinding& one : summary_.findings) {
      if (one.severity == FitSeverity::kProblem) ++summary_.problems;
    }
    return std::move(summary_);
  }

 private:
  void JudgeFrame(std::size_t index) {
    const FrameDefinition& frame = definitions_.frames[index];
    const FrameFit& fit = fit_.defined[index];
    const std::size_t first = summary_.findings.size();
    if (fit.frames == 0) {
      ++summary_.never_seen;
      return NeverSeen(frame);
    }
    Length(frame, fit);
    ChecksumFaults(frame, fit);
    CounterFaults(frame, fit);
    NotTested(frame, fit);
    Period(frame, fit);
    for (const std::uint32_t signal : frame.signals) {
      JudgeSignal(definitions_.signals[signal], fit_.signals[signal], fit);
    }
    const bool wrong = std::any_of(
        summary_.findings.begin() + static_cast<std::ptrdiff_t>(first), summary_.findings.end(),
        [](const FitFinding& one) { return one.severity == FitSeverity::kProblem; });
    ++(wrong ? summary_.do_not_fit : summary_.fit);
  }

  void JudgeSignal(const Signal& signal, const SignalFit& fit, const FrameFit& frame) {
    if (fit.too_short > 0) PageTooShort(signal, fit, frame);
    if (fit.values == 0 && fit.too_short > 0) return;
    if (fit.values == 0) return NoValue(signal, frame);
    OutOfRange(signal, fit);
    UnknownStates(signal, fit);
    if (fit.absent == fit.values) return AlwaysAbsent(signal, fit);
    if (!fit.changes && fit.values > signal.count) NeverChanges(signal, fit);
  }

  FitFinding& Add(FitSeverity severity, FitKind kind, const FrameDefinition& frame) {
    FitFinding& one = summary_.findings.emplace_back();
    one.severity = severity;
    one.kind = kind;
    one.frame = frame.name;
    one.place = frame.place;
    return one;
  }

  FitFinding& Add(FitSeverity severity, FitKind kind, const Signal& signal) {
    FitFinding& one = summary_.findings.emplace_back();
    one.severity = severity;
    one.kind = kind;
    one.frame = signal.frame;
    one.signal = signal.name;
    one.place = signal.place;
    return one;
  }

  static FitSeverity ProblemIf(bool wrong) {
    return wrong ? FitSeverity::kProblem : FitSeverity::kNotice;
  }

  bool OnBus(const FrameDefinition& frame, const session::Channel& channel) const {
    return frame.bus.empty() || channel.bus.empty() || frame.bus == channel.bus;
  }

  bool BusRecorded(const FrameDefinition& frame) const {
    return std::any_of(fit_.header.channels.begin(), fit_.header.channels.end(),
                       [&](const session::Channel& channel) {
                         return OnBus(frame, channel) && fit_.channel_frames[channel.number] > 0;
                       });
  }

  // Where the same identifier was seen without being described.
  const StreamTraffic* SeenElsewhere(const FrameDefinition& frame) const {
    for (const StreamTraffic& traffic : fit_.not_described) {
      if ((traffic.id & frame.mask) == (frame.id & frame.mask)) return &traffic;
    }
    return nullptr;
  }

  static string IdWords(const FrameDefinition& frame) {
    return FormatId(frame.id, static_cast<std::uint8_t>(frame.extended ? kExtendedId : 0)) +
           (frame.bus.empty() ? "" : " on bus " + frame.bus);
  }

  void NeverSeen(const FrameDefinition& frame) {
    const StreamTraffic* elsewhere = SeenElsewhere(frame);
    if (elsewhere == nullptr && anything_seen_ && !BusRecorded(frame)) {
      ++buses_not_recorded_[frame.bus];
      return;
    }
    FitFinding& one = Add(FitSeverity::kProblem, FitKind::kNeverSeen, frame);
    one.seen = "no such frame in " + SpokenDuration(fit_.length);
    one.defined = "identifier " + IdWords(frame);
    one.try_next =
        "look for it among the identifiers that are not described; some frames are sent only in "
        "some states of the car";
    if (elsewhere == nullptr) return;
    const bool extended = (elsewhere->flags & kExtendedId) != 0;
    const string id = FormatId(elsewhere->id, elsewhere->flags);
    const string bus = ChannelLabel(fit_.header, elsewhere->channel);
    one.seen = id + " was seen on " + bus + " instead, in " + CountOf(elsewhere->frames, "frame");
    one.try_next = extended != frame.extended
                       ? string("write \"extended: ") + (extended ? "yes\"" : "no\"")
                       : "correct \"bus\" of the frame, or the bus of the channel when recording";
  }

  void NoteBus(const string& bus, std::size_t frames) {
    FitFinding& one = summary_.findings.emplace_back();
    one.kind = FitKind::kBusNotRecorded;
    one.bus = bus;
    one.seen = "nothing was recorded from this bus";
    one.defined = CountOf(frames, "frame") + " on it, not checked";
    one.try_next = "compare with a session that has this bus; \"proofdrive info\" lists its buses";
  }

  void Length(const FrameDefinition& frame, const FrameFit& fit) {
    if (fit.too_short > 0) {
      FitFinding& one = Add(ProblemIf(Most(fit.too_short, fit.frames)), FitKind::kTooShort, frame);
      one.seen = Share(fit.too_short, fit.frames, "frame") +
                 " too short; lengths seen: " + LengthWords(fit.lengths);
      one.defined = "uses bytes 0-" + std::to_string(fit.needed - 1);
      one.try_next =
          "check the bytes of its signals, counter and checksum (the first byte is "
          "byte 0), or whether the length depends on a page";
    } else if (fit.wrong_length > 0) {
      FitFinding& one =
          Add(ProblemIf(Most(fit.wrong_length, fit.frames)), FitKind::kWrongLength, frame);
      one.seen = Share(fit.wrong_length, fit.frames, "frame") +
                 " of another length; lengths seen: " + LengthWords(fit.lengths);
      one.defined = "length: " + std::to_string(frame.length.value_or(0));
      one.try_next = "correct \"length\", or leave it out when the length varies";
    }
  }

  void ChecksumFaults(const FrameDefinition& frame, const FrameFit& fit) {
    // Frames that cannot hold it are told of already.
    if (fit.checksum_faults == 0 || fit.checksum_faults == fit.too_short) return;
    const bool most = Most(fit.checksum_faults, fit.frames);
    FitFinding& one = Add(ProblemIf(most), FitKind::kChecksumFails, frame);
    one.seen = "the checksum fails in " + Share(fit.checksum_faults, fit.frames, "frame");
    one.defined = "checksum: " + frame.checksum->kind + " over " + BytesCovered(*frame.checksum);
    one.try_next = most ? "the definition is probably wrong: check the byte it is sent in, the "
                          "bytes it covers, its kind and its data id"
                        : "the definition fits most frames: the bus or the sender has faults";
  }

  void CounterFaults(const FrameDefinition& frame, const FrameFit& fit) {
    const std::uint64_t checked = fit.frames - fit.checksum_faults;
    if (fit.counter_faults == 0 || checked == 0) return;
    const bool most = Most(fit.counter_faults, checked);
    FitFinding& one = Add(ProblemIf(most), FitKind::kCounterFails, frame);
    one.seen = "the counter does not follow in " + Share(fit.counter_faults, checked, "frame");
    one.defined = "counter: counts to " + std::to_string(frame.counter->counts_to);
    one.try_next = most ? "the definition is probably wrong: check its bits and its last value"
                        : "the definition fits most frames: the bus or the sender has faults, or "
                          "frames are missing; a wrong last value fails once per round";
  }

  // Right, and never put to the test: the same content again and again.
  void NotTested(const FrameDefinition& frame, const FrameFit& fit) {
    const bool checksum = frame.checksum && fit.checksum_faults == 0 && fit.decoded > 0 &&
                          ChecksumUntested(frame, fit);
    const bool counter =
        frame.counter && fit.counter_faults == 0 && fit.decoded > 0 && CounterUntested(frame, fit);
    if (checksum || counter) ++summary_.not_tested;
  }

  bool ChecksumUntested(const FrameDefinition& frame, const FrameFit& fit) {
    const unsigned bits = frame.checksum->location.bits();
    const std::size_t needed = FewestToTest(bits);
    if (fit.checksum_contents >= needed) return false;
    FitFinding& one = Add(FitSeverity::kNotice, FitKind::kNotTested, frame);
    one.seen = "the checksum is right for " + CountOf(fit.checksum_contents, "different content") +
               " in " + CountOf(fit.decoded, "frame");
    one.defined = "checksum: " + frame.checksum->kind + " over " + BytesCovered(*frame.checksum);
    one.try_next = "record while its values change: one of " + std::to_string(bits) +
                   " bits needs " + std::to_string(needed) +
                   " different contents, else it may fit by chance";
    return true;
  }

  bool CounterUntested(const FrameDefinition& frame, const FrameFit& fit) {
    const double bits = std::log2(static_cast<double>(frame.counter->counts_to) + 1);
    const std::size_t needed = FewestToTest(bits);
    if (fit.counter_steps >= needed) return false;
    FitFinding& one = Add(FitSeverity::kNotice, FitKind::kNotTested, frame);
    one.seen = "the counter is right for " + CountOf(fit.counter_steps, "step");
    one.defined = "counter: counts to " + std::to_string(frame.counter->counts_to);
    one.try_next = "record for longer: it needs " + std::to_string(needed) +
                   " steps, else it may fit by chance";
    return true;
  }

  void Period(const FrameDefinition& frame, const FrameFit& fit) {
    if (!frame.every || fit.period_frames < kFewFrames) return;
    const double nominal = ToSeconds(*frame.every);
    const double measured = ToSeconds(fit.median_period);
    if (measured <= nominal * kPeriodRatio && measured * kPeriodRatio >= nominal) return;
    FitFinding& one = Add(FitSeverity::kNotice, FitKind::kPeriodDiffers, frame);
    one.seen = "one frame every " + PeriodWords(fit.median_period);
    one.defined = "every: " + PeriodWords(*frame.every);
    one.try_next = "correct \"every\": it decides when a signal is silent";
  }

  static string BytesUsed(const Signal& signal) {
    std::size_t needed = signal.location.bytes_needed();
    for (const decoders::Location& element : signal.elements) {
      needed = std::max(needed, element.bytes_needed());
    }
    return "uses bytes up to " + std::to_string(needed - 1);
  }

  void PageTooShort(const Signal& signal, const SignalFit& fit, const FrameFit& frame) {
    const std::uint64_t pages =
        fit.too_short + (fit.values + signal.per_page - 1) / signal.per_page;
    FitFinding& one = Add(ProblemIf(Most(fit.too_short, pages)), FitKind::kTooShort, signal);
    one.seen = CountOf(fit.too_short, "frame") + " of its page" + (signal.is_series ? "s" : "") +
               " too short; lengths seen: " + LengthWords(frame.lengths);
    one.defined =
        (signal.page ? "on page " + std::to_string(*signal.page) + ", " : "") + BytesUsed(signal);
    one.try_next = "check its bytes and the place of the page number (the first byte is byte 0)";
  }

  void NoValue(const Signal& signal, const FrameFit& frame) {
    if (frame.decoded == 0) return;  // the frame's own finding says why
    FitFinding& one = Add(FitSeverity::kNotice, FitKind::kNoValue, signal);
    one.seen = "not once in " + CountOf(frame.frames, "frame");
    one.defined = signal.page ? "on page " + std::to_string(*signal.page) : "a value";
    one.try_next = "check the place and the number of its page; it may be sent rarely";
  }

  void OutOfRange(const Signal& signal, const SignalFit& fit) {
    if (fit.out_of_range == 0) return;
    const std::uint64_t present = fit.values - fit.absent;
    const bool most = Most(fit.out_of_range, present);
    FitFinding& one = Add(ProblemIf(most), FitKind::kOutOfRange, signal);
    one.seen = Share(fit.out_of_range, present, "value") + " out of range; from " +
               NumberWords(fit.lowest) + " to " + WithUnit(NumberWords(fit.highest), signal);
    one.defined = "finite numbers";
    if (signal.range) {
      one.defined = "range: " + FormatDouble(signal.range->low) + ".." +
                    WithUnit(FormatDouble(signal.range->high), signal);
    }
    one.try_next = OutOfRangeAdvice(signal, fit, most);
  }

  static string OutOfRangeAdvice(const Signal& signal, const SignalFit& fit, bool most) {
    if (signal.frame.empty()) return "check the formula and the units of its inputs";
    if (most) return "check the bytes and their order, \"signed\", \"scale\" and \"offset\"";
    string advice = "a raw value that means \"no value\" belongs under \"absent\"";
    if (MayBeNegative(signal, fit)) advice += "; a number below 0 needs \"signed: yes\"";
    return "look at these values with \"proofdrive decode\"; " + advice;
  }

  // The highest bit is set in the largest value, which is out of range.
  static bool MayBeNegative(const Signal& signal, const SignalFit& fit) {
    if (signal.encoding != decoders::Encoding::kUnsigned || !signal.range) return false;
    const double half = std::ldexp(1, static_cast<int>(signal.location.bits()) - 1);
    return fit.highest > signal.range->high && (fit.highest - signal.offset) / signal.scale >= half;
  }

  void UnknownStates(const Signal& signal, const SignalFit& fit) {
    if (fit.unnamed_values == 0) return;
    FitFinding& one = Add(FitSeverity::kProblem, FitKind::kUnknownStates, signal);
    std::vector<string> raws;
    std::uint64_t listed = 0;
    for (const auto& [raw, count] : fit.unnamed) {
      raws.push_back(std::to_string(raw));
      listed += count;
    }
    one.seen = Share(fit.unnamed_values, fit.values - fit.absent, "value") +
               " without a name: " + Join(raws, ", ") +
               (listed < fit.unnamed_values ? " and others" : "");
    one.defined = StatesWords(signal.states);
    one.try_next = "name them under \"states\", or check the bits of the signal";
  }

  void AlwaysAbsent(const Signal& signal, const SignalFit& fit) {
    FitFinding& one = Add(FitSeverity::kNotice, FitKind::kAlwaysAbsent, signal);
    one.seen = Share(fit.values, fit.values, "value") + " absent";
    one.defined = signal.valid_when ? "valid when: " + signal.valid_when->text
                                    : string("raw values that mean \"no value\"");
    one.try_next = signal.valid_when ? "check the condition, or record when it holds"
                                     : "check its bits, or record when it is there";
  }

  void NeverChanges(const Signal& signal, const SignalFit& fit) {
    if (signal.encoding == decoders::Encoding::kText) return;
    FitFinding& one = Add(FitSeverity::kNotice, FitKind::kNeverChanges, signal);
    const string state = ConstantState(signal, fit);
    const string value = fit.lowest == fit.highest ? WithUnit(NumberWords(fit.lowest), signal)
                                                   : NumberWords(fit.lowest) + " to " +
                                                         WithUnit(NumberWords(fit.highest), signal);
    one.seen = state.empty() ? value : state;
    one.defined = "a value";
    one.try_next = "record while it should change";
  }

  static string ConstantState(const Signal& signal, const SignalFit& fit) {
    const double raw = (fit.lowest - signal.offset) / signal.scale;
    constexpr double kExact = 9007199254740992.0;  // 2^53: below it a double is a whole number
    if (signal.states.empty() || fit.lowest != fit.highest || !(std::fabs(raw) < kExact)) return "";
    return signal.StateOf(std::llround(raw));
  }

  const SessionFit& fit_;
  const decoders::Definitions& definitions_;
  FitSummary summary_;
  bool anything_seen_ = false;
  std::map<string, std::size_t> buses_not_recorded_;  // frames of each
};

}  // namespace

std::string_view FitSeverityName(FitSeverity severity) {
  return severity == FitSeverity::kProblem ? "problem" : "notice";
}

std::string_view FitKindName(FitKind kind) {
  switch (kind) {
    case FitKind::kNeverSeen:
      return "never seen";
    case FitKind::kBusNotRecorded:
      return "bus not recorded";
    case FitKind::kTooShort:
      return "too short";
    case FitKind::kWrongLength:
      return "wrong length";
    case FitKind::kChecksumFails:
      return "checksum fails";
    case FitKind::kCounterFails:
      return "counter fails";
    case FitKind::kNotTested:
      return "not tested";
    case FitKind::kOutOfRange:
      return "out of range";
    case FitKind::kUnknownStates:
      return "unknown states";
    case FitKind::kPeriodDiffers:
      return "period differs";
    case FitKind::kNoValue:
      return "never came";
    case FitKind::kAlwaysAbsent:
      return "always absent";
    case FitKind::kNeverChanges:
      return "never changes";
  }
  return "";
}

std::size_t FewestToTest(double bits) {
  constexpr double kBitsInAll = 20;  // 2^20: once in a million
  if (bits <= 0) return 2;
  return std::max<std::size_t>(2, static_cast<std::size_t>(std::ceil(kBitsInAll / bits)));
}

FitSummary JudgeFit(const SessionFit& fit) { return FitJudge(fit).Run(); }

std::string PeriodWords(Duration period) {
  if (period <= Duration(0)) return "";
  const double seconds = ToSeconds(period);
  char text[32];
  if (seconds < 0.9995) {
    std::snprintf(text, sizeof(text), "%.3g ms", seconds * 1e3);
  } else {
    std::snprintf(text, sizeof(text), "%.4g s", seconds);
  }
  return text;
}

}  // namespace proofdrive::analysis
