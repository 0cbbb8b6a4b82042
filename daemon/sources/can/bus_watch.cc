#include "daemon/sources/can/bus_watch.h"

#include <utility>

#include "core/base/text.h"
#include "daemon/sources/can/can_link.h"

namespace proofdrive::daemon {
namespace {

using session::EventKind;

bool IsTroubled(const std::string& bus_state) {
  return bus_state == "error warning" || bus_state == "error passive" || bus_state == "bus-off";
}

bool SameSetting(const LinkInfo& a, const LinkInfo& b) {
  return a.bitrate == b.bitrate && a.data_bitrate == b.data_bitrate && a.modes == b.modes;
}

bool SameCounters(const LinkInfo& a, const LinkInfo& b) {
  return a.transmit_errors == b.transmit_errors && a.receive_errors == b.receive_errors &&
         a.counts == b.counts && a.overruns == b.overruns;
}

std::string RateText(std::uint32_t rate) { return FormatCount(rate) + " bit/s"; }

}  // namespace

std::string ControllerText(const LinkInfo& link) {
  std::vector<std::string> parts;
  if (link.bitrate > 0) parts.push_back(RateText(link.bitrate));
  if (link.data_bitrate > 0) parts.push_back("data phase " + RateText(link.data_bitrate));
  if (!link.modes.empty()) parts.push_back(link.modes);
  if (!link.listen_only) parts.emplace_back("not listen-only: it acknowledges what it hears");
  if (!link.controller_state.empty()) parts.push_back(link.controller_state);
  return Join(parts, ", ");
}

std::string CountersText(const LinkInfo& link) {
  const ControllerCounts& counts = link.counts;
  std::string text;
  if (link.has_error_counters) {
    text = "tx " + std::to_string(link.transmit_errors) + " rx " +
           std::to_string(link.receive_errors) + "; ";
  }
  return text + "counted by the driver: bus errors " + FormatCount(counts.bus_errors) +
         ", error warning " + FormatCount(counts.error_warning) + ", error passive " +
         FormatCount(counts.error_passive) + ", bus-off " + FormatCount(counts.bus_off) +
         ", lost arbitration " + FormatCount(counts.lost_arbitration) + ", restarts " +
         FormatCount(counts.restarts) + ", overruns " + FormatCount(link.overruns);
}

BusWatch::BusWatch(std::uint8_t channel, std::string name, const Clock& clock, Log& log,
                   Counters& counters)
    : channel_(channel), name_(std::move(name)), clock_(clock), log_(log), counters_(counters) {}

void BusWatch::Opened(const LinkInfo& link, int receive_buffer, const std::string& timestamps) {
  condition_.receive_buffer = receive_buffer;
  condition_.timestamps = timestamps;
  if (!looked_) {
    looked_ = true;
    condition_.link = link;
    condition_.bus_state = link.controller_state;
  }
  changed_ = true;
}

void BusWatch::BeginWith(const std::string& state) {
  condition_.state = state;
  changed_ = true;
  Add(EventKind::kChannelState, state);
}

void BusWatch::SetState(const std::string& state) {
  if (state == condition_.state) return;
  condition_.state = state;
  changed_ = true;
  Add(EventKind::kChannelState, state);
  if (condition_.up()) {
    condition_.bus_state.clear();  // a controller starts anew with its interface
    log_.Info(name_ + " is up again");
  } else {
    log_.Warning(name_ + " is " + state + "; the recording goes on and waits for it");
  }
}

void BusWatch::Look(const LinkInfo& link) {
  const LinkInfo before = std::exchange(condition_.link, link);
  if (!std::exchange(looked_, true)) return;
  changed_ = true;
  if (link.name != before.name) {
    Add(EventKind::kChannelState, "renamed to " + link.name);
    log_.Warning(name_ + " was renamed to " + link.name + "; the recording goes on with it");
  }
  if (!link.has_controller) return;
  if (!SameSetting(link, before)) {
    Add(EventKind::kNotice, "controller now: " + ControllerText(link));
    log_.Info(name_ + ": controller now: " + ControllerText(link));
    const std::string advice = ListenOnlyAdvice(link.name, link);
    if (!advice.empty() && before.listen_only) log_.Warning(advice);
  }
  LookAtController(link);
  if (SameCounters(link, before)) return;
  ++counters_told_.waiting;
  if (MayTell(counters_told_)) TellCounters();
}

// The controller's messages tell its state at once; this is for what they left out.
void BusWatch::LookAtController(const LinkInfo& link) {
  const std::string& state = link.controller_state;
  const bool recovered = state == "error active" && IsTroubled(condition_.bus_state);
  if (!link.up || (!IsTroubled(state) && !recovered)) return;
  session::Event event;
  event.time = clock_.Now().wall;
  event.kind = EventKind::kChannelState;
  event.channel = channel_;
  event.text = state;
  SetBusState(event);
}

void BusWatch::SetBusState(const session::Event& event) {
  if (event.text == condition_.bus_state) return;
  condition_.bus_state = event.text;
  changed_ = true;
  events_.push_back(event);
  log_.Warning(name_ + ": " + event.text);
}

void BusWatch::Hear(const Frame& message) {
  counters_.Add(Counter::kErrorMessages);
  const std::string before = condition_.bus_state;
  for (const session::Event& event : EventsOf(message)) {
    if (event.kind == EventKind::kChannelState) {
      SetBusState(event);
    } else if (condition_.bus_state != before) {  // the counters belong to a change
      events_.push_back(event);
    }
  }
  for (const FaultReport& report : FaultsOf(message)) {
    const auto index = static_cast<std::size_t>(report.fault);
    ++condition_.faults[index];
    ++repeated_[index].waiting;
    repeated_[index].text = report.text;
    changed_ = true;
    if (MayTell(repeated_[index])) TellFault(report.fault, true);
  }
}

void BusWatch::TellFault(BusFault fault, bool at_once) {
  Repeated& repeated = repeated_[static_cast<std::size_t>(fault)];
  const std::uint64_t count = std::exchange(repeated.waiting, 0);
  repeated.told = clock_.Now().steady;
  repeated.ever = true;
  if (at_once) log_.Warning(name_ + ": " + repeated.text);
  if (fault != BusFault::kOverflow) return Add(EventKind::kNotice, repeated.text, count);
  condition_.overruns += count;
  counters_.Add(Counter::kControllerDrops, count);
  Add(EventKind::kDrops, "in the controller, at least", count);
}

void BusWatch::TellCounters() {
  counters_told_.waiting = 0;
  counters_told_.told = clock_.Now().steady;
  counters_told_.ever = true;
  Add(EventKind::kErrorCounters, CountersText(condition_.link));
}

void BusWatch::HearDrops(std::uint64_t count) {
  counters_.Add(Counter::kKernelDrops, count);
  Add(EventKind::kDrops, "in the kernel", count);
  log_.Warning(name_ + ": " + FormatCount(count) + " frames were lost in the kernel. " +
               std::string(InfoOf(Counter::kKernelDrops).advice));
}

void BusWatch::Tick() {
  for (std::size_t i = 0; i < kBusFaultCount; ++i) {
    if (repeated_[i].waiting > 0 && MayTell(repeated_[i])) {
      TellFault(static_cast<BusFault>(i), false);
    }
  }
  if (counters_told_.waiting > 0 && MayTell(counters_told_)) TellCounters();
}

void BusWatch::Flush() {
  for (std::size_t i = 0; i < kBusFaultCount; ++i) {
    if (repeated_[i].waiting > 0) TellFault(static_cast<BusFault>(i), false);
  }
  if (counters_told_.waiting > 0) TellCounters();
}

bool BusWatch::MayTell(const Repeated& repeated) const {
  return !repeated.ever || clock_.Now().steady - repeated.told >= kRepeatTime;
}

void BusWatch::Add(EventKind kind, const std::string& text, std::uint64_t count) {
  session::Event event;
  event.time = clock_.Now().wall;
  event.kind = kind;
  event.channel = channel_;
  event.text = text;
  event.count = count;
  events_.push_back(event);
}

std::vector<session::Event> BusWatch::TakeEvents() { return std::exchange(events_, {}); }

bool BusWatch::TakeChanged() { return std::exchange(changed_, false); }

}  // namespace proofdrive::daemon
