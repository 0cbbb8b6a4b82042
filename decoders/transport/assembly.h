// Puts the frames of one message together (ISO 15765-2), for a receiver and for an onlooker alike.
#pragma once

#include <optional>
#include <vector>

#include "decoders/transport/pdu.h"

namespace proofdrive::decoders {

// The room taken is what has arrived, whatever length was announced. Not thread-safe.
class Assembly {
 public:
  enum class Added { kMore, kComplete, kWrongSequence, kIgnored };

  // REQUIRES: a single or first frame.
  void Begin(const Pdu& pdu);
  // REQUIRES: active(). A consecutive frame. kIgnored: shorter than the first frame although it is
  // not the last, or longer; the next one will then be out of order.
  Added Add(const Pdu& pdu);
  // Forgets the message.
  void Clear() { active_ = false; }

  bool active() const { return active_; }
  std::uint32_t length() const { return length_; }  // announced
  std::size_t received() const { return bytes_.size(); }
  // What has arrived; the assembly is empty afterwards.
  std::vector<std::uint8_t> Take();

 private:
  std::vector<std::uint8_t> bytes_;
  std::uint32_t length_ = 0;
  std::uint8_t frame_bytes_ = 8;
  std::uint8_t sequence_ = 1;
  bool active_ = false;
};

}  // namespace proofdrive::decoders
