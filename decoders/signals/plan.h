// Definitions compiled for decoding: flat arrays of what to read from each frame.
#pragma once

#include <array>
#include <cstdint>
#include <memory>
#include <optional>
#include <vector>

#include "decoders/model/checksums.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/extract.h"

namespace proofdrive::decoders {

// Reads one value. One line of the cache: what a live frame costs is mostly fetching its steps.
struct alignas(64) ValueStep {
  Extract extract;  // of text: only how many bytes it needs
  std::uint32_t signal = 0;
  std::uint32_t element = 0;  // within its page
  Encoding encoding = Encoding::kUnsigned;
  std::uint32_t first_absent = 0;
  std::uint32_t absent = 0;
  double scale = 1;
  double offset = 0;
  double low = 0;  // range; infinite when there is none
  double high = 0;
};
static_assert(sizeof(ValueStep) == 64);

// Steps [begin, end) of Plan::steps.
struct StepRange {
  std::uint32_t begin = 0;
  std::uint32_t end = 0;
};

// Steps of the page with one number; pages within it have the place of their own number.
struct PageSteps {
  std::uint64_t page = 0;
  StepRange steps;
  std::optional<Extract> inner;
  std::vector<PageSteps> pages;  // in order of page
};

// Steps of a series on pages first_page, first_page + 1, ...
struct SeriesSteps {
  std::uint64_t first_page = 0;
  std::uint32_t per_page = 1;
  std::uint32_t count = 1;
  StepRange steps;
};

struct CounterStep {
  Extract extract;
  std::uint64_t counts_to = 0;
};

struct ChecksumStep {
  Extract extract;
  const Checksum* checksum = nullptr;
  std::uint8_t first_byte = 0;
  std::uint8_t last_byte = 0;
  std::array<std::uint8_t, kMaxFdLength> kept{};  // bits of each byte that are not the checksum
  ChecksumSettings settings;
  std::shared_ptr<const Crc8Table> table;  // null unless the kind needs a polynomial
  std::optional<Extract> counter;          // of the frame; what the kind is calculated with
  std::optional<Extract> nibble;           // must hold `nibble_value`
  std::uint64_t nibble_value = 0;
};

struct PagePlan {
  Extract number;
  std::vector<PageSteps> pages;  // in order of page
  std::vector<SeriesSteps> series;
};

// Small, for the same reason as ValueStep: what many frames lack is elsewhere.
struct FramePlan {
  std::optional<std::uint8_t> length;
  StepRange always;
  std::unique_ptr<const PagePlan> page;  // these may be null
  std::unique_ptr<const CounterStep> counter;
  std::unique_ptr<const ChecksumStep> checksum;
};

// Immutable once made.
struct Plan {
  std::vector<FramePlan> frames;  // as Definitions::frames
  std::vector<ValueStep> steps;
  std::vector<Piece> pieces;
  std::vector<std::uint64_t> absent;
};

Plan MakePlan(const Definitions& definitions);

}  // namespace proofdrive::decoders
