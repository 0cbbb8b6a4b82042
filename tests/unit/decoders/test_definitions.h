// Definitions from a text in a test, and frames to feed them with.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <initializer_list>
#include <memory>
#include <stdexcept>
#include <string>
#include <vector>

#include "decoders/language/loader.h"
#include "decoders/signals/decoder.h"

namespace proofdrive::decoders::testing {

// The definitions of a text without mistakes; throws with the mistakes otherwise.
inline std::shared_ptr<const Definitions> Load(const std::string& text) {
  const std::vector<SourceText> sources = {{"car.yaml", text}};
  LoadResult result = LoadDefinitions(sources);
  if (!result.diagnostics.empty()) {
    throw std::runtime_error(FormatDiagnostics(result.diagnostics));
  }
  return result.definitions;
}

inline Frame MakeFrame(std::uint32_t id, const std::vector<std::uint8_t>& data, Duration at = {}) {
  Frame frame;
  frame.time = WallTime(at);
  frame.id = id;
  frame.length = static_cast<std::uint8_t>(data.size());
  std::copy(data.begin(), data.end(), frame.data.begin());
  return frame;
}

}  // namespace proofdrive::decoders::testing
