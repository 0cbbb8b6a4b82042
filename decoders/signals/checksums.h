// Every checksum the definition language knows. A new one is a function and a row of the table.
#pragma once

#include <cstdint>
#include <span>
#include <string_view>

#include "core/base/bytes.h"

namespace proofdrive::decoders {

// Up to a whole frame; what the location of the checksum itself holds is left out by the caller.
using ChecksumFunction = std::uint64_t (*)(ByteSpan bytes);

struct Checksum {
  std::string_view name;  // as definition files write it
  unsigned bits;
  ChecksumFunction function;
  std::string_view standard;  // where it is defined
};

std::span<const Checksum> AllChecksums();
// Null when there is none with this name.
const Checksum* FindChecksum(std::string_view name);

}  // namespace proofdrive::decoders
