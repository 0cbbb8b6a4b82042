#include "daemon/live/diagnosis.h"

#include <algorithm>
#include <utility>

#include "core/base/text.h"
#include "daemon/sources/can/can_interface.h"
#include "daemon/sources/can/can_link.h"

namespace proofdrive::daemon {
namespace {

// Below this a recording of an hour or two may not fit (a busy car: about 100 MB/h, measured on the
// bench vehicle and load recordings).
constexpr std::uint64_t kLittleSpace = std::uint64_t{256} << 20;
// Fewer frames than these say nothing about the definition files.
constexpr std::uint64_t kEnoughFrames = 100;

constexpr char kTermination[] =
    "Check the wiring: CAN high and low not swapped, about 60 ohm between them with everything off";

class Finder {
 public:
  explicit Finder(const Snapshot& snapshot) : snapshot_(snapshot) {}

  std::vector<Problem> Find() {
    LookAtRecording();
    LookAtDisk();
    for (const ChannelTraffic& traffic : snapshot_.channels) {
      if (traffic.condition) LookAtChannel(traffic, *traffic.condition);
    }
    LookAtDefinitions();
    std::stable_sort(problems_.begin(), problems_.end(),
                     [](const Problem& a, const Problem& b) { return a.urgency < b.urgency; });
    return std::move(problems_);
  }

 private:
  void Add(Urgency urgency, std::string what, std::string remedy) {
    problems_.push_back({urgency, channel_, std::move(what), std::move(remedy)});
  }

  // What to do stands with the counter.
  void AddLoss(std::string what, Counter counter) {
    Add(Urgency::kLoss, std::move(what), std::string(InfoOf(counter).advice));
  }

  void LookAtRecording() {
    for (const Counter counter :
         {Counter::kQueueDrops, Counter::kKernelDrops, Counter::kFullDiskDrops}) {
      const std::uint64_t lost = snapshot_.counts[static_cast<std::size_t>(counter)];
      if (lost == 0) continue;
      AddLoss(
          FormatCount(lost) + " " + std::string(InfoOf(counter).name) + " since the daemon started",
          counter);
    }
    if (!snapshot_.not_recording.empty()) {
      Add(Urgency::kLoss, "nothing is recorded although it should be: " + snapshot_.not_recording,
          "Mend that; it is tried again every 10 s");
    }
    const auto& now = snapshot_.recording;
    if (now && !now->paused.empty()) {
      Add(Urgency::kLoss, "recording is paused and frames are lost: " + now->paused,
          "It goes on by itself when 32 MiB are free");
    }
    if (now && !now->trouble.empty()) {
      Add(Urgency::kLoss, "recording goes on, but a file of it was lost: " + now->trouble,
          "Find out who touched it; sessions are best left alone while they are recorded");
    }
    const auto& last = snapshot_.last_recording;
    if (!snapshot_.recording && last && !last->trouble.empty()) {
      Add(Urgency::kLoss, "the last recording, " + last->name + ", lost a file: " + last->trouble,
          "Find out who touched it; sessions are best left alone while they are recorded");
    }
    if (!snapshot_.recording && last && !last->problem.empty()) {
      Add(Urgency::kLoss, "the last recording, " + last->name + ", ended early: " + last->problem,
          "Mend that, then: proofdrive record start NAME");
    }
  }

  void LookAtDisk() {
    if (!snapshot_.free_bytes || *snapshot_.free_bytes >= kLittleSpace) return;
    Add(Urgency::kTrouble,
        "only " + FormatCount(*snapshot_.free_bytes >> 20) + " MiB are left for sessions",
        "Move old sessions elsewhere, or give --sessions a folder on a larger disk; a recording "
        "pauses when 16 MiB are left");
  }

  void LookAtChannel(const ChannelTraffic& traffic, const ChannelCondition& condition) {
    channel_ = traffic.channel.number;
    name_ = condition.link.name.empty() ? traffic.channel.name : condition.link.name;
    if (condition.up()) {
      LookAtBus(traffic, condition);
      LookAtSetup(condition);
    } else {
      LookAtLink(condition);
    }
    channel_.reset();
  }

  void LookAtLink(const ChannelCondition& condition) {
    if (condition.state == "gone") {
      Add(Urgency::kTrouble, "there is no interface " + name_,
          "Plug the adapter in; it is waited for. What there is: ip link show type can");
    } else if (condition.state == "down") {
      const LinkInfo& link = condition.link;
      const bool unset = link.has_controller && link.bitrate == 0;
      Add(Urgency::kTrouble, name_ + " is down",
          "Bring it up with: ip link set " + name_ +
              (unset ? " type can bitrate RATE listen-only on (RATE of the bus), then: ip link "
                       "set " +
                           name_
                     : "") +
              " up");
    } else {
      Add(Urgency::kTrouble, name_ + " delivers nothing: " + condition.state,
          "Look at the log of the daemon and of the kernel (dmesg)");
    }
  }

  // What comes from the bus, or does not.
  void LookAtBus(const ChannelTraffic& traffic, const ChannelCondition& condition) {
    if (condition.bus_state == "bus-off") return AddBusOff(condition.link);
    const auto fault = [&](BusFault kind) {
      return condition.faults[static_cast<std::size_t>(kind)];
    };
    if (const auto count = fault(BusFault::kTransceiver); count > 0) {
      Add(Urgency::kTrouble, name_ + ": the adapter reports a fault of the wires", kTermination);
    }
    if (const auto count = fault(BusFault::kNoAcknowledge); count > 0) {
      Add(Urgency::kTrouble,
          "nobody acknowledged " + FormatCount(count) + " times what this machine sent on " + name_,
          "Proofdrive sends nothing unless told to: another program here does. Stop it, or check "
          "that the bus is connected and awake");
    }
    const bool errors = fault(BusFault::kProtocol) > 0 || condition.link.counts.bus_errors > 0 ||
                        condition.bus_state == "error warning" ||
                        condition.bus_state == "error passive";
    const std::optional<Duration> silent = SilentFor(traffic);
    if (errors && silent) return AddWrongRate(condition.link);
    if (silent) return AddSilence(*silent);
    if (errors) {
      Add(Urgency::kTrouble, "the bus of " + name_ + " is disturbed: frames come, and errors too",
          std::string(kTermination) + ". Recorded frames are whole; broken ones never arrive");
    }
  }

  void AddBusOff(const LinkInfo& link) {
    Add(Urgency::kTrouble, name_ + " is bus-off: its controller gave up after too many errors",
        "Usually the bit rate is wrong or a wire is. " + std::string(kTermination) +
            ". Then: ip link set " + name_ +
            (link.restart_ms == 0 ? " type can restart" : " down, and up again"));
  }

  void AddWrongRate(const LinkInfo& link) {
    const std::string rate =
        link.bitrate > 0 ? "the bit rate " + FormatCount(link.bitrate) : "the bit rate";
    Add(Urgency::kTrouble,
        name_ + " hears errors instead of frames: " + rate + " is probably not that of the bus",
        "Try the bus's own rate, often 125000, 250000 or 500000: ip link set " + name_ +
            " down; ip link set " + name_ + " type can bitrate RATE listen-only on; ip link set " +
            name_ + " up");
  }

  void AddSilence(Duration silent) {
    Add(Urgency::kTrouble, "nothing has been heard on " + name_ + " for " + FormatDuration(silent),
        "Ignition on? Right pair of the connector? Right bit rate? Many cars are silent at the "
        "diagnostic port until asked: tap the bus itself, as the maker's wiring diagram shows");
  }

  // How long there has been no frame, if that is worth a word.
  std::optional<Duration> SilentFor(const ChannelTraffic& traffic) const {
    const Duration silent = snapshot_.now - traffic.last_frame.value_or(snapshot_.started);
    if (silent < kSilence) return std::nullopt;
    return silent;
  }

  void LookAtSetup(const ChannelCondition& condition) {
    if (condition.overruns > 0) {
      AddLoss("the controller of " + name_ + " lost frames: " + FormatCount(condition.overruns) +
                  " times at least",
              Counter::kControllerDrops);
    }
    if (!ListenOnlyAdvice(name_, condition.link).empty()) {
      Add(Urgency::kAdvice,
          name_ + " is not listen-only: it acknowledges what it hears, although nothing is sent",
          ListenOnlyCommands(name_));
    }
    const int buffer = condition.receive_buffer;
    if (buffer > 0 && buffer < kReceiveBufferNeeded) {
      Add(Urgency::kAdvice,
          "the receive buffer of " + name_ + " holds only about " +
              FormatCount(static_cast<std::uint64_t>(buffer / kBytesPerFrame)) + " frames",
          "Raise it with: sysctl -w net.core.rmem_max=" + std::to_string(kReceiveBufferNeeded) +
              ", and start proofdrived again");
    }
  }

  void LookAtDefinitions() {
    if (!snapshot_.definitions) {
      Add(Urgency::kAdvice, "no definition file is loaded: frames are recorded, nothing is decoded",
          "Give one with --definitions; recordings made meanwhile can be decoded later");
      return;
    }
    if (snapshot_.now - snapshot_.started < kSilence) return;
    for (const ChannelTraffic& traffic : snapshot_.channels) LookForDescribed(traffic);
  }

  void LookForDescribed(const ChannelTraffic& traffic) {
    if (traffic.frames < kEnoughFrames || traffic.described > 0) return;
    channel_ = traffic.channel.number;
    const std::string& bus = traffic.channel.bus;
    Add(Urgency::kTrouble,
        "the definition files describe none of the " + FormatCount(traffic.frames) +
            " frames heard on " + traffic.channel.name,
        bus.empty() ? "Are they for this vehicle and this bus? Compare with: proofdrive lint "
                      "DEFINITIONS --against SESSION"
                    : "Is bus \"" + bus +
                          "\" right for this interface? Compare with: proofdrive "
                          "lint DEFINITIONS --against SESSION");
    channel_.reset();
  }

  const Snapshot& snapshot_;
  std::optional<std::uint8_t> channel_;  // being looked at
  std::string name_;                     // of its interface
  std::vector<Problem> problems_;
};

}  // namespace

std::string_view UrgencyName(Urgency urgency) {
  switch (urgency) {
    case Urgency::kLoss:
      return "loss";
    case Urgency::kTrouble:
      return "trouble";
    case Urgency::kAdvice:
      return "advice";
  }
  return "advice";
}

std::vector<Problem> Diagnose(const Snapshot& snapshot) { return Finder(snapshot).Find(); }

}  // namespace proofdrive::daemon
