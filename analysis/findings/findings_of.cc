#include "analysis/findings/findings_of.h"

#include <algorithm>
#include <array>
#include <optional>

#include "analysis/asking/asked.h"
#include "analysis/session/session_timeline.h"
#include "analysis/session/traffic_stats.h"
#include "analysis/session/warning_sources.h"
#include "decoders/signals/text_value.h"

namespace proofdrive::analysis {
namespace {

using decoders::Definitions;
using decoders::FrameFaults;
using decoders::Value;

// How often the evaluator hears that time passes while nothing it knows arrives.
constexpr Duration kTick = std::chrono::milliseconds(10);
constexpr std::uint64_t kProgressEvery = 16384;

std::unique_ptr<decoders::Decoder> MakeDecoder(const session::Header& header,
                                               const DefinitionSet& set) {
  if (set.definitions == nullptr) return nullptr;
  return decoders::Decoder::Create(set.definitions, ChannelBuses(header));
}

// Gathers what one session says, frame by frame.
class Pass {
 public:
  Pass(const DefinitionSet& set, std::size_t curve_points) {
    if (set.definitions == nullptr) return;
    evaluator_ = decoders::WarningEvaluator::Create(set.definitions);
    signals_.emplace(set.definitions, curve_points);
    windows_.emplace(*set.definitions);
    trip_.emplace(*set.definitions);
    frames_seen_.resize(set.definitions->frames.size());
    texts_.resize(set.definitions->signals.size());
    definitions_ = set.definitions;
  }

  void Add(const Frame& frame, Duration at, int definition, std::span<const Value> values) {
    if (frames_++ == 0) start_ = frame.time;
    traffic_.Add(frame, at);
    buses_.Add(frame, at);
    quiet_since_[frame.channel] = at;
    channel_used_[frame.channel] = true;
    now_ = at;
    if (definition < 0) {
      if (!frame.Is(kErrorMessage) && !frame.Is(kRemote)) ++not_described_;
    } else {
      const auto index = static_cast<std::size_t>(definition);
      frames_seen_[index][frame.channel] = true;
    }
    for (const Value& value : values) AddText(value, frame);
    Evaluate(at, values);
  }

  // `decoder`: null without definitions.
  void FinishInto(const decoders::Decoder* decoder, SessionFindings& findings) {
    findings.frames = frames_;
    findings.not_described = not_described_;
    findings.start = start_;
    findings.length = now_;
    findings.traffic = traffic_.Finish();
    findings.buses = buses_.Finish(findings.header);
    if (evaluator_ == nullptr || decoder == nullptr) return;
    NameTraffic(*decoder, findings);
    findings.warnings = evaluator_->Finish(start_ + now_);
    findings.signals = signals_->Finish();
    findings.windows = windows_->Finish();
    findings.texts = std::move(texts_);
    findings.trip = trip_->Finish(now_);
    for (const decoders::Warning& warning : findings.definitions->warnings) {
      findings.sources.push_back(SourceOf(*findings.definitions, findings.header, warning));
    }
  }

 private:
  using ChannelSet = std::array<bool, 256>;

  // Of readings the text lies in an answer of several frames.
  void AddText(const Value& value, const Frame& frame) {
    const decoders::Signal& signal = definitions_->signals[value.signal];
    if (signal.encoding != decoders::Encoding::kText || signal.frame.empty()) return;
    const auto text = decoders::TextOf(signal, value.element, frame.payload());
    if (!text) return;
    TextRecord& record = texts_[value.signal];
    if (value.element >= record.texts.size()) record.texts.resize(value.element + std::size_t{1});
    std::string& known = record.texts[value.element];
    if (known.empty()) known = *text;
    record.changes |= known != *text;
  }

  void Evaluate(Duration at, std::span<const Value> values) {
    if (evaluator_ == nullptr) return;
    if (frames_ == 1 || at - last_tick_ >= kTick || !values.empty()) {
      evaluator_->AdvanceTo(start_ + at);
      last_tick_ = at;
    }
    for (Value value : values) {
      signals_->Add(value, at);
      windows_->Add(value, at);
      trip_->Add(value, at);
      value.time = start_ + at;
      evaluator_->Update(value);
    }
  }

  static void NameTraffic(const decoders::Decoder& decoder, SessionFindings& findings) {
    for (StreamTraffic& traffic : findings.traffic) {
      const int frame = decoder.FindFrame({traffic.channel, traffic.id, traffic.flags, 0, 0});
      if (frame < 0) continue;
      traffic.frame = findings.definitions->frames[static_cast<std::size_t>(frame)].name;
    }
  }

  // The channels a frame may come on: those it was seen on, else those of its bus.
  ChannelSet ChannelsOf(std::size_t frame, const std::string& bus,
                        const session::Header& header) const {
    ChannelSet channels = frames_seen_[frame];
    if (std::find(channels.begin(), channels.end(), true) != channels.end()) return channels;
    for (const session::Channel& channel : header.channels) {
      if (bus.empty() || channel.bus.empty() || channel.bus == bus) channels[channel.number] = true;
    }
    return channels;
  }

  WarningSource SourceOf(const Definitions& definitions, const session::Header& header,
                         const decoders::Warning& warning) const {
    WarningSource source;
    source.frames = FramesOf(definitions, warning);
    for (const std::uint32_t frame : source.frames) {
      const decoders::FrameDefinition& definition = definitions.frames[frame];
      const ChannelSet& seen = frames_seen_[frame];
      if (std::find(seen.begin(), seen.end(), true) == seen.end()) {
        source.silent.push_back(definition.name);
      }
      const ChannelSet channels = ChannelsOf(frame, definition.bus, header);
      for (std::size_t channel = 0; channel < channels.size(); ++channel) {
        if (!channels[channel] || !channel_used_[channel]) continue;
        source.bus_end = std::max(source.bus_end, quiet_since_[channel]);
      }
    }
    if (source.frames.empty()) source.bus_end = now_;
    return source;
  }

  std::shared_ptr<const Definitions> definitions_;
  std::vector<TextRecord> texts_;
  std::unique_ptr<decoders::WarningEvaluator> evaluator_;
  std::optional<SignalRecorder> signals_;
  std::optional<WindowRecorder> windows_;
  std::optional<TripMeter> trip_;
  TrafficStats traffic_;
  BusRecorder buses_;
  WallTime start_;
  Duration now_{0};
  Duration last_tick_{0};
  std::uint64_t frames_ = 0;
  std::uint64_t not_described_ = 0;
  std::vector<ChannelSet> frames_seen_;      // per definition, the channels it came on
  std::array<Duration, 256> quiet_since_{};  // last frame of each channel
  ChannelSet channel_used_{};
};

std::uint64_t DropsIn(const std::vector<session::Event>& events) {
  std::uint64_t drops = 0;
  for (const session::Event& event : events) {
    if (event.kind == session::EventKind::kDrops) drops += event.count;
  }
  return drops;
}

std::vector<SessionEvent> Timed(const std::vector<session::Event>& events, WallTime start) {
  std::vector<SessionEvent> timed;
  for (const session::Event& event : events) {
    timed.push_back({std::max(Duration(0), event.time - start), event});
  }
  return timed;
}

// Frames in order of arrival with their place in session time.
class TimedDecode {
 public:
  TimedDecode(session::Reader& reader, const DefinitionSet& set)
      : reader_(reader), decoder_(MakeDecoder(reader.header(), set)) {}

  Status Run(const FrameVisitor& visit) {
    return reader_.ForEachFrame([&](const Frame& frame) {
      values_.clear();
      const int definition = decoder_ == nullptr ? -1 : decoder_->Decode(frame, values_);
      return visit(frame, timeline_.Place(frame), definition, values_);
    });
  }
  const SessionTimeline& timeline() const { return timeline_; }
  const decoders::Decoder* decoder() const { return decoder_.get(); }
  std::vector<FrameFaults> faults() const {
    return decoder_ == nullptr ? std::vector<FrameFaults>() : decoder_->faults();
  }

 private:
  session::Reader& reader_;
  std::unique_ptr<decoders::Decoder> decoder_;
  SessionTimeline timeline_;
  std::vector<Value> values_;
};

}  // namespace

Status DecodeSession(session::Reader& reader, const DefinitionSet& set, const FrameVisitor& visit,
                     std::vector<FrameFaults>* faults) {
  TimedDecode decode(reader, set);
  RETURN_IF_ERROR(decode.Run(visit));
  if (faults != nullptr) *faults = decode.faults();
  return Status::Ok();
}

Result<SessionFindings> FindingsOf(session::Reader& reader, const DefinitionSet& set,
                                   const FindingsOptions& options) {
  SessionFindings findings;
  findings.header = reader.header();
  findings.origin = set.origin;
  findings.definitions = set.definitions;
  Pass pass(set, options.curve_points);
  const auto asked = AskedListener::Create(reader, set);
  TimedDecode decode(reader, set);
  std::uint64_t done = 0;
  RETURN_IF_ERROR(decode.Run(
      [&](const Frame& frame, Duration at, int definition, std::span<const Value> values) {
        pass.Add(frame, at, definition, values);
        if (asked != nullptr) asked->OnFrame(frame);
        if (++done % kProgressEvery == 0 && options.progress) {
          options.progress(done, reader.frame_count());
        }
        return true;
      }));
  pass.FinishInto(decode.decoder(), findings);
  if (asked != nullptr) findings.asked = asked->Finish();
  findings.faults = decode.faults();
  findings.clock_steps = decode.timeline().steps();
  findings.state = reader.state();
  findings.drops = DropsIn(reader.events());
  findings.events = Timed(reader.events(), findings.start);
  findings.damaged =
      std::any_of(reader.losses().begin(), reader.losses().end(), [](const session::Loss& loss) {
        return loss.severity == session::Loss::Severity::kDataLoss;
      });
  return findings;
}

}  // namespace proofdrive::analysis
