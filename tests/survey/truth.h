// What the frames of a recording really carry, for scoring a survey.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "analysis/survey/rows/found.h"
#include "analysis/survey/rows/identifiers.h"
#include "core/frame/frame.h"
#include "decoders/model/definitions.h"

namespace proofdrive::survey_tests {

struct TrueField {
  decoders::Location location;
  std::optional<std::uint64_t> page;
  bool is_signed = false;
};

struct TrueFrame {
  std::string bus;
  std::uint32_t id = 0;
  bool extended = false;
  std::vector<TrueField> fields;
  std::optional<decoders::Location> selector;
  std::optional<analysis::survey::FoundCounter> counter;
  std::optional<decoders::Location> checksum;
  analysis::survey::ChecksumModel model;  // of the checksum
};

struct Recording {
  std::vector<analysis::survey::Identifier> identifiers;
  std::vector<TrueFrame> truth;  // of those that are known
};

// The frames that definitions describe.
std::vector<TrueFrame> TruthOf(const decoders::Definitions& definitions);

// The first `seconds` of a scenario of the bench vehicle, with what its definition file says.
Recording BenchRecording(const std::string& scenario, std::uint64_t seed, double seconds);

}  // namespace proofdrive::survey_tests
