#include "decoders/signals/freshness.h"

#include <algorithm>

#include "decoders/formula/formula.h"

namespace proofdrive::decoders {

Freshness::Freshness(const Definitions& definitions)
    : senders_of_(definitions.signals.size()), is_computed_(definitions.signals.size()) {
  for (const FrameDefinition& frame : definitions.frames) {
    const Duration periods = frame.every ? kSilentPeriods * *frame.every : kSilentWithoutPeriod;
    const std::uint32_t sender = AddSender(frame.timeout.value_or(periods));
    for (const std::uint32_t signal : frame.signals) senders_of_[signal] = {sender};
  }
  for (const Reading& reading : definitions.readings) {
    senders_of_[reading.signal] = {AddSender(kSilentPeriods * reading.every)};
  }
  for (const Computed& computed : definitions.computed) {
    is_computed_[computed.signal] = true;
    TextProblem none;
    const auto formula =
        Formula::Compile(computed.formula.text, FormulaKind::kNumber, definitions, none);
    if (formula == nullptr) continue;
    auto& senders = senders_of_[computed.signal];
    for (const FormulaInput& input : formula->inputs()) {
      const auto& more = senders_of_[input.signal];
      senders.insert(senders.end(), more.begin(), more.end());
    }
    std::sort(senders.begin(), senders.end());
    senders.erase(std::unique(senders.begin(), senders.end()), senders.end());
  }
}

std::uint32_t Freshness::AddSender(Duration timeout) {
  Sender sender;
  sender.timeout = timeout;
  senders_.push_back(sender);
  return static_cast<std::uint32_t>(senders_.size() - 1);
}

std::optional<std::uint32_t> Freshness::Heard(std::uint32_t signal, WallTime time) {
  if (is_computed_[signal] || senders_of_[signal].empty()) return std::nullopt;
  const std::uint32_t index = senders_of_[signal].front();
  Sender& sender = senders_[index];
  sender.last = time;
  sender.heard = true;
  if (sender.fresh) return std::nullopt;
  sender.fresh = true;
  return index;
}

WallTime Freshness::NextStale(std::uint32_t& sender) const {
  WallTime next = WallTime::max();
  for (std::uint32_t i = 0; i < senders_.size(); ++i) {
    if (!senders_[i].fresh || senders_[i].last + senders_[i].timeout >= next) continue;
    next = senders_[i].last + senders_[i].timeout;
    sender = i;
  }
  return next;
}

bool Freshness::IsFresh(std::uint32_t signal) const {
  const auto& senders = senders_of_[signal];
  return std::all_of(senders.begin(), senders.end(),
                     [&](std::uint32_t sender) { return senders_[sender].fresh; });
}

bool Freshness::IsFreshAt(std::uint32_t signal, WallTime time) const {
  const auto& senders = senders_of_[signal];
  return std::all_of(senders.begin(), senders.end(), [&](std::uint32_t index) {
    const Sender& sender = senders_[index];
    return sender.heard && time - sender.last <= sender.timeout;
  });
}

WallTime Freshness::LastHeard(std::uint32_t signal) const {
  WallTime last = WallTime::max();
  for (const std::uint32_t sender : senders_of_[signal]) {
    last = std::min(last, senders_[sender].last);
  }
  return last;
}

}  // namespace proofdrive::decoders
