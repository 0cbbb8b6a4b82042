#include "decoders/transport/assembly.h"

#include <algorithm>
#include <utility>

namespace proofdrive::decoders {

void Assembly::Begin(const Pdu& pdu) {
  bytes_.assign(pdu.payload.begin(), pdu.payload.end());
  length_ = pdu.length;
  frame_bytes_ = pdu.data_length;
  sequence_ = 1;
  active_ = true;
}

Assembly::Added Assembly::Add(const Pdu& pdu) {
  const std::size_t missing = length_ - bytes_.size();
  if (pdu.data_length > frame_bytes_) return Added::kIgnored;
  if (pdu.data_length < frame_bytes_ && pdu.payload.size() < missing) return Added::kIgnored;
  if (pdu.sequence != sequence_) return Added::kWrongSequence;
  sequence_ = (sequence_ + 1) & 0xF;
  const std::size_t count = std::min(missing, pdu.payload.size());
  bytes_.insert(bytes_.end(), pdu.payload.begin(),
                pdu.payload.begin() + static_cast<std::ptrdiff_t>(count));
  return bytes_.size() == length_ ? Added::kComplete : Added::kMore;
}

std::vector<std::uint8_t> Assembly::Take() {
  active_ = false;
  return std::exchange(bytes_, {});
}

}  // namespace proofdrive::decoders
