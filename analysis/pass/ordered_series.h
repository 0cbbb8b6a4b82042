// Signals that need the frames in their order (`valid when`, computed, readings), gathered while
// they are decoded and given block by block.
#pragma once

#include <cstdint>
#include <functional>
#include <map>
#include <memory>
#include <span>
#include <utility>
#include <vector>

#include "analysis/pass/series.h"
#include "analysis/session/session_timeline.h"
#include "core/frame/frame.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/value.h"

namespace proofdrive::analysis {

class OrderedSeries {
 public:
  // `chosen`: one per signal. `start`: time of the first frame.
  OrderedSeries(std::shared_ptr<const decoders::Definitions> definitions, std::vector<bool> chosen,
                WallTime start)
      : definitions_(std::move(definitions)), chosen_(std::move(chosen)), start_(start) {}

  // A frame that `timeline` has placed, and what was decoded from it.
  void Add(const Frame& frame, const SessionTimeline& timeline,
           std::span<const decoders::Value> values);
  // What came since the last call, by signal and element.
  void Flush(const std::function<void(const Series&)>& visit);

 private:
  void Add(const decoders::Value& value, Duration at, ByteSpan payload);

  std::shared_ptr<const decoders::Definitions> definitions_;
  std::vector<bool> chosen_;
  WallTime start_;
  std::map<StreamKey, Duration> last_;  // session time within each stream never goes backward
  std::map<std::pair<std::uint32_t, std::uint32_t>, Series> series_;
};

}  // namespace proofdrive::analysis
