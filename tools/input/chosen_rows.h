// The values of chosen signals in order of session time, read without the frames of other signals.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string_view>
#include <vector>

#include "analysis/series/series.h"
#include "core/base/result.h"
#include "decoders/signals/value.h"
#include "session/reader.h"
#include "tools/input/signal_selection.h"

namespace proofdrive::tools {

class ChosenRows {
 public:
  // True when the chosen signals are in a small part of the frames and all their values can be held
  // in memory; otherwise the frames are better read one by one.
  static bool IsWorthwhile(const session::Reader& reader, const decoders::Definitions& definitions,
                           const SignalSelection& selection);

  // Gathers what lies within the bounds.
  Status Read(session::Reader& reader, std::shared_ptr<const decoders::Definitions> definitions,
              const SignalSelection& selection, const TimeBounds& bounds);
  std::size_t size() const { return rows_.size(); }

  // Values of equal time: in the order the frames and signals are defined in. `text`: of signals of
  // text. Until `visit` returns false.
  void ForEach(
      const std::function<bool(const decoders::Value& value, std::string_view text)>& visit) const;

 private:
  // One value: where it is in series_.
  struct Row {
    Duration at;
    std::uint32_t series = 0;
    std::uint32_t index = 0;
  };

  std::vector<analysis::Series> series_;
  std::vector<Row> rows_;  // in order of time
};

}  // namespace proofdrive::tools
