// Chosen signals of a session as series: time and value, one signal at a time. What checks, reports
// and `decode` are made from.
//
//   const std::vector<std::uint32_t> chosen = definitions->SignalsWithRole("cell voltages");
//   Status read = VisitSeries(reader, definitions, chosen, [&](const Series& series) {
//     for (std::size_t i = 0; i < series.size(); ++i) {
//       if (series.IsValid(i)) Use(series.signal, series.element, series.at[i], series.numbers[i]);
//     }
//     return true;
//   });
//
// Which values. Exactly those that decoders::Decoder gives frame by frame: frames whose checksum
// fails, that are too short or carry another page bring none; absent ones are NaN; those out of
// range keep their number and are marked; `valid when` and computed signals follow the order of
// arrival of all frames they depend on, and the limits after which a silent frame is stale. A
// series says nothing between its values: how long one counts is for the caller to decide (three
// periods of its frame, elsewhere; see decoders/signals/freshness.h).
//
// Which time. Session time as in SessionClock: it never goes backward within a series, and values
// of different series may be compared to within some tens of milliseconds.
//
// How. One stream at a time is read and decoded in a tight loop per signal, so that 20 signals out
// of 2000 cost a small part of the whole. Only `valid when` and computed signals need a pass over
// all frames; it is made once for all of them that are chosen. A damaged session gives what can be
// read; see session::Reader::losses().
//
// Memory. At a time: the streams of one defined frame (16 bytes and more per frame) and one series
// (25 bytes and more per value); besides, all chosen `valid when` and computed signals.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "core/base/result.h"
#include "core/base/time.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/value.h"
#include "session/reader.h"

namespace proofdrive::analysis {

// One signal, or one element of a series of the definition files, over a session. Vectors are of
// equal length unless they are empty, and in order of session time.
struct Series {
  std::uint32_t signal = 0;     // index into Definitions::signals
  std::uint32_t element = 0;    // counted from 0; 0 for a scalar
  std::vector<Duration> at;     // session time
  std::vector<WallTime> times;  // of the frames, as they were recorded
  std::vector<double> numbers;  // physical, in the signal's unit; NaN when absent, and of text
  std::vector<decoders::Validity> validity;
  std::vector<std::int64_t> raw;   // of signals with states only; see Signal::StateOf
  std::vector<std::string> texts;  // of text signals only; empty where absent

  std::size_t size() const { return at.size(); }
  bool IsValid(std::size_t i) const { return validity[i] == decoders::Validity::kValid; }
};

// May take the series away. Return false to stop.
using SeriesVisitor = std::function<bool(Series& series)>;

// Visits every element of the chosen signals (indices into Definitions::signals; twice is once)
// that has a value at all. First those that streams alone give, frame by frame in the order of
// definition, then the others. Errors are those of reading.
// REQUIRES: `definitions` came from the loader.
Status VisitSeries(session::Reader& reader,
                   std::shared_ptr<const decoders::Definitions> definitions,
                   std::span<const std::uint32_t> signals, const SeriesVisitor& visit);

// All of them at once, for a few signals.
Result<std::vector<Series>> ReadSeries(session::Reader& reader,
                                       std::shared_ptr<const decoders::Definitions> definitions,
                                       std::span<const std::uint32_t> signals);

// What VisitSeries has to do for these signals, without doing it.
struct SeriesCost {
  std::uint64_t frames = 0;  // to be read; all when one signal is computed or has `valid when`
  std::uint64_t values = 0;  // at most, of all series together; computed ones are not counted
};
SeriesCost CostOfSeries(const session::Reader& reader, const decoders::Definitions& definitions,
                        std::span<const std::uint32_t> signals);

}  // namespace proofdrive::analysis
