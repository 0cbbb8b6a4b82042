// The values of chosen signals in order of session time, read without the frames of other signals.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "analysis/pass/pass.h"
#include "decoders/signals/value.h"
#include "session/reader.h"
#include "tools/input/signal_selection.h"

namespace proofdrive::tools {

// Gives them while they are read and keeps those of the last moments only, which a frame of another
// channel that arrives late may precede.
class ChosenRows : public analysis::SeriesConsumer {
 public:
  // Returns false to stop. `text`: of signals of text.
  using Visitor = std::function<bool(const decoders::Value& value, std::string_view text)>;

  // True when the chosen signals are in a small part of the frames; otherwise the frames are better
  // read one by one.
  static bool IsWorthwhile(const session::Reader& reader, const decoders::Definitions& definitions,
                           const SignalSelection& selection);

  // What lies within the bounds. Values of equal time: in the order the frames and signals are
  // defined in. `selection` must outlive this.
  ChosenRows(const std::shared_ptr<const decoders::Definitions>& definitions,
             const SignalSelection& selection, TimeBounds bounds, Visitor visit);

  std::vector<std::uint32_t> Signals() const override;
  void OnSeries(const analysis::Series& part) override;
  bool OnEndOfStretch() override;
  // Gives what is left.
  void Finish();

 private:
  struct Row {
    Duration at;
    std::uint32_t order = 0;  // of its signal
    decoders::Value value;
    std::string text;
  };

  void GiveUntil(Duration at);

  const SignalSelection& selection_;
  const TimeBounds bounds_;
  const Visitor visit_;
  const std::vector<std::uint32_t> order_;  // by signal
  std::vector<Row> rows_;                   // not given yet
  Duration first_ = Duration::max();        // session time in the stretch at hand
  Duration last_{0};                        // of all so far
  bool enough_ = false;
};

}  // namespace proofdrive::tools
