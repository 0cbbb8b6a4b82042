// One signal out of many frames of the same kind: a tight loop over a column of payloads.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "core/base/bytes.h"
#include "decoders/definitions/definitions.h"
#include "decoders/signals/plan.h"

namespace proofdrive::decoders {

// Payloads of one stream, one after the other.
struct PayloadColumn {
  ByteSpan bytes;          // rows * stride
  std::size_t stride = 0;  // length of every payload, 0..64
  std::size_t rows() const { return stride == 0 ? 0 : bytes.size() / stride; }
};

// For whole recordings, where Decoder's frame-by-frame work is not needed. Immutable: several
// threads may decode at once. Knows neither counters and checksums nor `range` and `valid when`: a
// caller that needs them uses Decoder.
class ColumnDecoder {
 public:
  explicit ColumnDecoder(std::shared_ptr<const Definitions> definitions);

  // Physical values of element `element` (0 for a scalar signal), NaN where the value is absent.
  // REQUIRES: out.size() == column.rows(). False, and `out` untouched, when the payloads are too
  // short, or when the signal is text or not in every frame (pages, series over pages, computed
  // signals).
  bool Decode(std::uint32_t signal, std::uint32_t element, const PayloadColumn& column,
              std::span<double> out) const;

 private:
  const ValueStep* FindStep(std::uint32_t signal, std::uint32_t element) const;

  std::shared_ptr<const Definitions> definitions_;
  Plan plan_;
  std::vector<std::uint32_t> first_step_;  // by signal; kNoStep when it is not in every frame
};

}  // namespace proofdrive::decoders
