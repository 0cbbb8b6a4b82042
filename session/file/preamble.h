// The first bytes of a session file: what it is, and whether this program can read it.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/base/bytes.h"
#include "core/base/result.h"

namespace proofdrive::session {

std::vector<std::uint8_t> MakePreamble(std::uint32_t salt, std::uint32_t incompatible_features);

struct Preamble {
  std::uint32_t incompatible_features = 0;
  std::uint32_t salt = 0;
};
// kCorrupt: it is not, or no longer, a preamble.
Result<Preamble> ParsePreamble(ByteSpan bytes);

// kUnsupportedVersion when the file uses something this program does not know.
Status CheckFeatures(std::uint32_t incompatible_features, const std::string& path);

// "a pcapng capture (...)" and the like, from the first bytes of a file that is no session.
std::string DescribeForeignFile(ByteSpan bytes);

}  // namespace proofdrive::session
