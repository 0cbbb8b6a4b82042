// Which senders are still heard: a frame silent for three periods makes its signals stale.
#pragma once

#include <cstdint>
#include <optional>
#include <vector>

#include "core/base/time.h"
#include "decoders/model/definitions.h"

namespace proofdrive::decoders {

inline constexpr int kSilentPeriods = 3;
inline constexpr Duration kSilentWithoutPeriod = std::chrono::seconds(1);

// One sender per frame and per reading. The value of any signal of a frame shows that the frame is
// there, so that signals on rare pages do not become stale while the frame keeps coming.
class Freshness {
 public:
  explicit Freshness(const Definitions& definitions);

  std::size_t senders() const { return senders_.size(); }
  // The senders a signal depends on: one; for a computed signal those of everything it uses.
  const std::vector<std::uint32_t>& SendersOf(std::uint32_t signal) const {
    return senders_of_[signal];
  }

  // A value of `signal` arrived. Returns the sender whose state changed to fresh, if one did.
  // Computed signals do not count: they are not sent.
  std::optional<std::uint32_t> Heard(std::uint32_t signal, WallTime time);
  // When the next fresh sender becomes stale unless it is heard before; `sender` gets its index.
  WallTime NextStale(std::uint32_t& sender) const;
  void SetStale(std::uint32_t sender) { senders_[sender].fresh = false; }

  bool IsFresh(std::uint32_t signal) const;
  // The same from the times alone, without SetStale.
  bool IsFreshAt(std::uint32_t signal, WallTime time) const;
  WallTime LastHeard(std::uint32_t signal) const;

 private:
  struct Sender {
    Duration timeout{0};
    WallTime last;
    bool fresh = false;
    bool heard = false;
  };
  std::uint32_t AddSender(Duration timeout);

  std::vector<Sender> senders_;
  std::vector<std::vector<std::uint32_t>> senders_of_;
  std::vector<bool> is_computed_;
};

}  // namespace proofdrive::decoders
