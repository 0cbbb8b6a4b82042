#include "analysis/findings/findings_of.h"

#include <algorithm>
#include <array>
#include <optional>

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

// Hands every frame to a function.
class Visiting : public FrameConsumer {
 public:
  explicit Visiting(const FrameVisitor& visit) : visit_(visit) {}
  bool OnFrame(const DecodedFrame& frame) override { return visit_(frame); }

 private:
  const FrameVisitor& visit_;
};

bool IsDamaged(const session::Reader& reader) {
  return std::any_of(reader.losses().begin(), reader.losses().end(), [](const session::Loss& loss) {
    return loss.severity == session::Loss::Severity::kDataLoss;
  });
}

}  // namespace

// Gathers what one session says, frame by frame.
class FindingsTaker::Gathered {
 public:
  Gathered(const DefinitionSet& set, const FindingsOptions& options)
      : warnings_only_(options.warnings_only) {
    if (set.definitions == nullptr) return;
    evaluator_ = decoders::WarningEvaluator::Create(set.definitions);
    frames_seen_.resize(set.definitions->frames.size());
    texts_.resize(set.definitions->signals.size());
    definitions_ = set.definitions;
    if (warnings_only_) return;
    signals_.emplace(set.definitions, options.curve_points);
    if (options.windows) windows_.emplace(*set.definitions);
    trip_.emplace(*set.definitions);
  }

  void Add(const Frame& frame, Duration at, int definition, std::span<const Value> values) {
    if (frames_++ == 0) start_ = frame.time;
    if (!warnings_only_) {
      traffic_.Add(frame, at);
      buses_.Add(frame, at);
    }
    quiet_since_[frame.channel] = at;
    channel_used_[frame.channel] = true;
    now_ = at;
    if (definition < 0) {
      if (!frame.Is(kErrorMessage) && !frame.Is(kRemote)) ++not_described_;
    } else {
      const auto index = static_cast<std::size_t>(definition);
      frames_seen_[index][frame.channel] = true;
    }
    for (const Value& value : values) {
      if (!warnings_only_) AddText(value, frame);
    }
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
    findings.texts = std::move(texts_);
    if (signals_) findings.signals = signals_->Finish();
    if (windows_) findings.windows = windows_->Finish();
    if (trip_) findings.trip = trip_->Finish(now_);
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
      if (signals_) signals_->Add(value, at);
      if (windows_) windows_->Add(value, at);
      if (trip_) trip_->Add(value, at);
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
  const bool warnings_only_;
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

FindingsTaker::FindingsTaker(const session::Reader& reader, const DefinitionSet& set,
                             const FindingsOptions& options)
    : reader_(reader),
      gathered_(std::make_unique<Gathered>(set, options)),
      asked_(options.warnings_only ? nullptr : AskedListener::Create(reader, set)) {
  findings_.header = reader.header();
  findings_.origin = set.origin;
  findings_.definitions = set.definitions;
}

FindingsTaker::~FindingsTaker() = default;

bool FindingsTaker::OnFrame(const DecodedFrame& decoded) {
  gathered_->Add(decoded.frame, decoded.at, decoded.definition, decoded.values);
  if (asked_ != nullptr) asked_->OnFrame(decoded.frame);
  return true;
}

SessionFindings FindingsTaker::Finish(const Pass& pass) {
  gathered_->FinishInto(pass.decoder(), findings_);
  if (asked_ != nullptr) findings_.asked = asked_->Finish();
  if (pass.decoder() != nullptr) findings_.faults = pass.decoder()->faults();
  findings_.clock_steps = pass.clock_steps();
  findings_.state = reader_.state();
  findings_.drops = DropsIn(reader_.events());
  findings_.events = Timed(reader_.events(), findings_.start);
  findings_.damaged = IsDamaged(reader_);
  return std::move(findings_);
}

Status DecodeSession(session::Reader& reader, const DefinitionSet& set, const FrameVisitor& visit,
                     std::vector<FrameFaults>* faults) {
  Visiting consumer(visit);
  Pass pass(reader, set.definitions);
  pass.Add(consumer);
  RETURN_IF_ERROR(pass.Run());
  if (faults == nullptr) return Status::Ok();
  *faults = pass.decoder() == nullptr ? std::vector<FrameFaults>() : pass.decoder()->faults();
  return Status::Ok();
}

Result<SessionFindings> FindingsOf(session::Reader& reader, const DefinitionSet& set,
                                   const FindingsOptions& options) {
  FindingsTaker taker(reader, set, options);
  Pass pass(reader, set.definitions);
  pass.Add(taker);
  RETURN_IF_ERROR(pass.Run(options.progress));
  return taker.Finish(pass);
}

}  // namespace proofdrive::analysis
