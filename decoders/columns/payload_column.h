// The payloads of one stream of frames.
#pragma once

#include <cstddef>

#include "core/base/bytes.h"

namespace proofdrive::decoders {

// Payloads of one stream, one after the other.
struct PayloadColumn {
  ByteSpan bytes;          // rows * stride
  std::size_t stride = 0;  // length of every payload, 0..64
  std::size_t rows() const { return stride == 0 ? 0 : bytes.size() / stride; }
};

}  // namespace proofdrive::decoders
