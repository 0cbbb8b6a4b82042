// The loops of ColumnDecoder: one value of every row, without decisions in the loop.
#pragma once

#include <cstdint>
#include <span>

#include "decoders/columns/payload_column.h"
#include "decoders/signals/plan.h"

namespace proofdrive::decoders {

struct ColumnJob {
  ValueStep step;
  std::span<const Piece> pieces;  // of Extract::Kind::kPieces
  std::span<const std::uint64_t> absent;
  PayloadColumn column;
  double* out = nullptr;  // one per row
};

// Wide: the processor's vector unit may be used where it has one; off only to compare in tests, as
// the results are the same.
void DecodeColumn(const ColumnJob& job, bool wide = true);

// RawBits of every row. REQUIRES: extract.bytes_needed <= column.stride.
void ReadColumnBits(const Extract& extract, const Piece* pieces, const PayloadColumn& column,
                    std::uint64_t* out);

}  // namespace proofdrive::decoders
