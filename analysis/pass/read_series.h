// Chosen signals of a session as whole series, for a few signals of a short session: what is longer
// is a SeriesConsumer of a Pass.
#pragma once

#include <memory>
#include <span>
#include <vector>

#include "analysis/pass/series.h"
#include "core/base/result.h"
#include "decoders/model/definitions.h"
#include "session/reader.h"

namespace proofdrive::analysis {

// Every element of the chosen signals (indices into Definitions::signals; twice is once) that has a
// value at all. First those that streams alone give, frame by frame in the order of definition,
// then the others. Errors are those of reading. REQUIRES: `definitions` came from the loader.
Result<std::vector<Series>> ReadSeries(session::Reader& reader,
                                       std::shared_ptr<const decoders::Definitions> definitions,
                                       std::span<const std::uint32_t> signals);

// What a pass has to do for these signals, without doing it.
struct SeriesCost {
  std::uint64_t frames = 0;  // to be read; all when one signal is computed or has `valid when`
  std::uint64_t values = 0;  // at most, of all series together; computed ones are not counted
};
SeriesCost CostOfSeries(const session::Reader& reader, const decoders::Definitions& definitions,
                        std::span<const std::uint32_t> signals);

}  // namespace proofdrive::analysis
