// One signal out of many frames of the same kind: a tight loop over a column of payloads.
#pragma once

#include <cstddef>
#include <cstdint>
#include <memory>
#include <span>
#include <vector>

#include "core/base/bytes.h"
#include "decoders/columns/payload_column.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/plan.h"

namespace proofdrive::decoders {

// For whole recordings, where Decoder's frame-by-frame work is not needed. Immutable: several
// threads may decode at once. Decode knows neither counters and checksums nor pages and `range`:
// StreamRows does.
class ColumnDecoder {
 public:
  explicit ColumnDecoder(std::shared_ptr<const Definitions> definitions);

  const Definitions& definitions() const { return *definitions_; }
  const Plan& plan() const { return plan_; }

  // True when the frames of one stream alone give the signal's values. False for computed signals,
  // readings and signals with `valid when`, which need other frames in their order: use Decoder.
  bool HasColumn(std::uint32_t signal) const;

  // Physical values of element `element` (0 for a scalar signal), NaN where the value is absent.
  // REQUIRES: out.size() == column.rows(). False, and `out` untouched, when the payloads are too
  // short, or when the signal is text or not in every frame (pages, series over pages, computed
  // signals).
  bool Decode(std::uint32_t signal, std::uint32_t element, const PayloadColumn& column,
              std::span<double> out) const;

  // The same for a step of plan(). REQUIRES: it is not text, and the payloads are long enough.
  void DecodeStep(const ValueStep& step, const PayloadColumn& column, std::span<double> out) const;
  // The raw bits of one place, as RawBits. REQUIRES: the payloads are long enough.
  void ReadBits(const Extract& extract, const PayloadColumn& column,
                std::span<std::uint64_t> out) const;

 private:
  const ValueStep* FindStep(std::uint32_t signal, std::uint32_t element) const;

  std::shared_ptr<const Definitions> definitions_;
  Plan plan_;
  std::vector<std::uint32_t> first_step_;  // by signal; kNoStep when it is not in every frame
};

}  // namespace proofdrive::decoders
