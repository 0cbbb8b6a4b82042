#include "analysis/pass/read_series.h"

#include <map>
#include <tuple>
#include <utility>

#include "analysis/pass/pass.h"
#include "analysis/session/definition_set.h"
#include "decoders/signals/frame_index.h"

namespace proofdrive::analysis {
namespace {

using decoders::Definitions;
using decoders::Signal;

class Gatherer : public SeriesConsumer {
 public:
  Gatherer(const std::shared_ptr<const Definitions>& definitions,
           std::span<const std::uint32_t> signals)
      : signals_(signals.begin(), signals.end()), order_(SignalOrder(definitions)) {}

  std::vector<std::uint32_t> Signals() const override { return signals_; }
  void OnSeries(const Series& part) override {
    Series& series = series_[{order_[part.signal], part.element}];
    series.signal = part.signal;
    series.element = part.element;
    Append(part, series);
  }
  std::vector<Series> Take() {
    std::vector<Series> all;
    for (auto& [place, series] : series_) {
      series.Sort();
      all.push_back(std::move(series));
    }
    return all;
  }

 private:
  std::vector<std::uint32_t> signals_;
  std::vector<std::uint32_t> order_;
  std::map<std::pair<std::uint32_t, std::uint32_t>, Series> series_;  // by place and element
};

}  // namespace

Result<std::vector<Series>> ReadSeries(session::Reader& reader,
                                       std::shared_ptr<const Definitions> definitions,
                                       std::span<const std::uint32_t> signals) {
  Gatherer gatherer(definitions, signals);
  Pass pass(reader, std::move(definitions));
  pass.Add(gatherer);
  RETURN_IF_ERROR(pass.Run());
  return gatherer.Take();
}

SeriesCost CostOfSeries(const session::Reader& reader, const Definitions& definitions,
                        std::span<const std::uint32_t> signals) {
  const decoders::FrameIndex index(definitions, ChannelBuses(reader.header()));
  std::vector<std::uint64_t> values_per_frame(definitions.frames.size());
  bool all = false;
  for (const std::uint32_t i : signals) {
    const Signal& signal = definitions.signals[i];
    const auto frame = definitions.FindFrame(signal.frame);
    all = all || !frame || signal.valid_when;
    if (frame) values_per_frame[*frame] += signal.is_series ? signal.per_page : 1;
  }
  SeriesCost cost;
  for (const session::StreamInfo& stream : reader.streams()) {
    const int frame = index.Find(stream.key);
    if (frame < 0) continue;
    const std::uint64_t values = values_per_frame[static_cast<std::size_t>(frame)];
    if (values > 0) cost.frames += stream.frames;
    cost.values += stream.frames * values;
  }
  if (all) cost.frames = reader.frame_count();
  return cost;
}

}  // namespace proofdrive::analysis
