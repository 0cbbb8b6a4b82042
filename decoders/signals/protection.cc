#include "decoders/signals/protection.h"

#include <array>

namespace proofdrive::decoders {

namespace {

bool Reaches(const Extract& extract, const Frame& frame) {
  return extract.bytes_needed <= frame.length;
}

bool IsLongEnough(const ChecksumStep& step, const Frame& frame) {
  return frame.length > step.last_byte && Reaches(step.extract, frame) &&
         (!step.counter || Reaches(*step.counter, frame)) &&
         (!step.nibble || Reaches(*step.nibble, frame));
}

}  // namespace

bool ChecksumHolds(const ChecksumStep& step, const Plan& plan, const Frame& frame) {
  if (!IsLongEnough(step, frame)) return false;
  const Piece* pieces = plan.pieces.data();
  const std::uint8_t* data = frame.data.data();
  if (step.nibble && RawBits(*step.nibble, pieces, data) != step.nibble_value) return false;
  std::array<std::uint8_t, kMaxFdLength> covered{};
  std::size_t count = 0;
  for (std::size_t i = step.first_byte; i <= step.last_byte; ++i) {
    // Bytes of the checksum itself are left out; of a byte it shares, its bits count as 0.
    if (step.kept[i] == 0) continue;
    covered[count++] = static_cast<std::uint8_t>(data[i] & step.kept[i]);
  }
  ChecksumInput input{ByteSpan(covered.data(), count), 0, &step.settings, step.table.get()};
  if (step.counter) input.counter = static_cast<std::uint8_t>(RawBits(*step.counter, pieces, data));
  return step.checksum->function(input) == RawBits(step.extract, pieces, data);
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
