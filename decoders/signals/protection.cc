#include "decoders/signals/protection.h"

#include <array>

namespace proofdrive::decoders {

bool ChecksumHolds(const ChecksumStep& step, const Plan& plan, const Frame& frame) {
  if (frame.length <= step.last_byte || frame.length < step.extract.bytes_needed) return false;
  std::array<std::uint8_t, kMaxFdLength> covered{};
  std::size_t count = 0;
  for (std::size_t i = step.first_byte; i <= step.last_byte; ++i) {
    // Bytes of the checksum itself are left out; of a byte it shares, its bits count as 0.
    if (step.kept[i] == 0) continue;
    covered[count++] = static_cast<std::uint8_t>(frame.data[i] & step.kept[i]);
  }
  const std::uint64_t wanted = step.checksum->function(ByteSpan(covered.data(), count));
  return wanted == RawBits(step.extract, plan.pieces.data(), frame.data.data());
}

CounterWatch::Last& CounterWatch::LastOf(const Frame& frame) {
  for (Last& last : last_) {
    if (last.channel == frame.channel && last.id == frame.id) return last;
  }
  return last_.emplace_back(Last{frame.channel, frame.id, std::nullopt});
}

bool CounterWatch::Follows(const CounterStep& step, const Plan& plan, const Frame& frame) {
  if (frame.length < step.extract.bytes_needed) return true;  // counted as a wrong length
  const std::uint64_t now = RawBits(step.extract, plan.pieces.data(), frame.data.data());
  Last& last = LastOf(frame);
  const bool follows =
      now <= step.counts_to &&
      (!last.value || now == (*last.value >= step.counts_to ? 0 : *last.value + 1));
  last.value = now;
  return follows;
}

void CounterWatch::Forget(const Frame& frame) { LastOf(frame).value.reset(); }

}  // namespace proofdrive::decoders
