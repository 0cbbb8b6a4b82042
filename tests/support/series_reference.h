// What series must say, made frame by frame: the slow way the fast one is held against.
#pragma once

#include <gtest/gtest.h>

#include <algorithm>
#include <bit>
#include <cmath>
#include <map>
#include <memory>
#include <numeric>
#include <string>
#include <tuple>
#include <vector>

#include "analysis/pass/read_series.h"
#include "analysis/session/definition_set.h"
#include "analysis/session/session_timeline.h"
#include "decoders/signals/decoder.h"
#include "decoders/signals/text_value.h"
#include "tests/support/matchers.h"

namespace proofdrive::testing {

// Session time, recorded time, bits of the number, validity, raw value of signals with states,
// text.
using SeriesRow =
    std::tuple<std::int64_t, std::int64_t, std::uint64_t, int, std::int64_t, std::string>;
using SeriesRows = std::map<std::pair<std::uint32_t, std::uint32_t>, std::vector<SeriesRow>>;

inline std::uint64_t NumberBits(double number) {
  return std::isnan(number) ? ~std::uint64_t{0} : std::bit_cast<std::uint64_t>(number);
}

// Frames of several streams at the same time have no order of their own in a series.
inline void SortRows(SeriesRows& all) {
  for (auto& [key, rows] : all) std::sort(rows.begin(), rows.end());
}

inline SeriesRows RowsFrameByFrame(session::Reader& reader,
                                   std::shared_ptr<const decoders::Definitions> definitions) {
  SeriesRows all;
  const auto decoder =
      decoders::Decoder::Create(definitions, analysis::ChannelBuses(reader.header()));
  analysis::SessionTimeline timeline;
  std::map<StreamKey, Duration> last;
  std::vector<decoders::Value> values;
  EXPECT_OK(reader.ForEachFrame([&](const Frame& frame) {
    values.clear();
    decoder->Decode(frame, values);
    timeline.Place(frame);
    Duration& at = last[KeyOf(frame)];
    at = std::max(at, frame.time - timeline.start() + timeline.shift(frame.channel));
    for (const decoders::Value& value : values) {
      const decoders::Signal& signal = definitions->signals[value.signal];
      const bool is_text = signal.encoding == decoders::Encoding::kText &&
                           value.validity == decoders::Validity::kValid;
      all[{value.signal, value.element}].emplace_back(
          at.count(), ToNanoseconds(value.time), NumberBits(value.number),
          static_cast<int>(value.validity), signal.states.empty() ? 0 : value.raw,
          is_text ? decoders::TextOf(signal, value.element, frame.payload()).value_or("?") : "");
    }
    return true;
  }));
  SortRows(all);
  return all;
}

inline SeriesRows RowsOfSeries(session::Reader& reader,
                               std::shared_ptr<const decoders::Definitions> definitions) {
  std::vector<std::uint32_t> chosen(definitions->signals.size());
  std::iota(chosen.begin(), chosen.end(), 0U);
  SeriesRows all;
  const auto series = analysis::ReadSeries(reader, definitions, chosen);
  EXPECT_OK(series);
  if (!series.ok()) return all;
  for (const analysis::Series& one : *series) {
    EXPECT_TRUE(std::is_sorted(one.at.begin(), one.at.end()));
    auto& rows = all[{one.signal, one.element}];
    EXPECT_TRUE(rows.empty()) << "twice: " << definitions->signals[one.signal].name;
    for (std::size_t i = 0; i < one.size(); ++i) {
      rows.emplace_back(one.at[i].count(), ToNanoseconds(one.times[i]), NumberBits(one.numbers[i]),
                        static_cast<int>(one.validity[i]), one.raw.empty() ? 0 : one.raw[i],
                        one.texts.empty() ? "" : one.texts[i]);
    }
  }
  SortRows(all);
  return all;
}

// Expects the same values from both, and says which signal differs first. Returns how many.
inline std::size_t ExpectSeriesEqualDecoder(
    session::Reader& reader, std::shared_ptr<const decoders::Definitions> definitions) {
  const SeriesRows expected = RowsFrameByFrame(reader, definitions);
  const SeriesRows found = RowsOfSeries(reader, definitions);
  EXPECT_EQ(found.size(), expected.size());
  std::size_t count = 0;
  for (const auto& [key, rows] : expected) {
    count += rows.size();
    const auto other = found.find(key);
    const std::string name =
        definitions->signals[key.first].name + "[" + std::to_string(key.second) + "]";
    if (other == found.end()) {
      ADD_FAILURE() << "no series of " << name;
      return count;
    }
    if (other->second != rows) {
      const std::size_t at = static_cast<std::size_t>(
          std::mismatch(rows.begin(), rows.end(), other->second.begin(), other->second.end())
              .first -
          rows.begin());
      ADD_FAILURE() << name << " differs at row " << at << " of " << rows.size()
                    << "; the series has " << other->second.size();
      return count;
    }
  }
  return count;
}

}  // namespace proofdrive::testing
