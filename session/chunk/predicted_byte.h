// A byte of a payload that follows from its other bytes: a checksum. It looks like noise and hardly
// compresses; taken out, it costs nothing.
#pragma once

#include <cstddef>
#include <cstdint>
#include <span>

#include "core/base/bytes.h"
#include "session/model/layout.h"

namespace proofdrive::session {

// Expected is what the kind makes of all other bytes of the payload in their order, starting with
// 0, and then of `constant`: added to a sum, combined by exclusive or with the others.
struct PredictedByte {
  PredictionKind kind = PredictionKind::kNone;
  std::uint8_t byte = 0;        // which one
  std::uint8_t polynomial = 0;  // of kCrc8, without its highest bit, most significant bit first
  std::uint8_t constant = 0;
};

// kNone when no byte that changes follows from the others in the rows that were looked at.
// rows.size() = count * stride.
PredictedByte FindPredictedByte(ByteSpan rows, std::size_t stride);

// Exclusive or of that byte of every row and what is expected there: 0 where it is as predicted.
// Done twice, every row is what it was, whatever it holds. REQUIRES: predicted.byte < stride <= 64
// unless the kind is kNone.
void CombineWithPrediction(const PredictedByte& predicted, std::size_t stride,
                           std::span<std::uint8_t> rows);

}  // namespace proofdrive::session
