#include "analysis/series/series.h"

#include <algorithm>
#include <map>
#include <utility>

#include "analysis/findings/findings_of.h"
#include "analysis/series/session_clock.h"
#include "analysis/session/session_timeline.h"
#include "decoders/columns/stream_rows.h"
#include "decoders/signals/decoder.h"
#include "decoders/signals/frame_index.h"
#include "decoders/signals/text_value.h"

namespace proofdrive::analysis {
namespace {

using decoders::ColumnDecoder;
using decoders::Definitions;
using decoders::ElementColumn;
using decoders::Signal;
using decoders::StreamRows;
using decoders::Value;

// One stream of a frame: placed in time, ready to be decoded.
struct Stream {
  Stream(const ColumnDecoder& decoder, std::uint32_t frame, session::Column read,
         std::vector<Duration> placed)
      : column(std::move(read)),
        at(std::move(placed)),
        rows(decoder, frame, {column.bytes, column.stride()}) {}

  const session::Column column;
  const std::vector<Duration> at;
  const StreamRows rows;
};

template <class T>
void Append(std::vector<T> from, std::vector<T>& to) {
  if (to.empty()) {
    to = std::move(from);
  } else {
    to.insert(to.end(), std::make_move_iterator(from.begin()), std::make_move_iterator(from.end()));
  }
}

void Append(const Stream& stream, ElementColumn values, Series& series) {
  for (const std::uint32_t row : values.rows) {
    series.at.push_back(stream.at[row]);
    series.times.push_back(stream.column.times[row]);
  }
  Append(std::move(values.numbers), series.numbers);
  Append(std::move(values.validity), series.validity);
  Append(std::move(values.raw), series.raw);
  Append(std::move(values.texts), series.texts);
}

template <class T>
void Reorder(const std::vector<std::uint32_t>& order, std::vector<T>& values) {
  if (values.empty()) return;
  std::vector<T> sorted;
  sorted.reserve(values.size());
  for (const std::uint32_t i : order) sorted.push_back(std::move(values[i]));
  values = std::move(sorted);
}

// By session time; equal times keep their order.
void SortByTime(Series& series) {
  if (std::is_sorted(series.at.begin(), series.at.end())) return;
  std::vector<std::uint32_t> order(series.size());
  for (std::uint32_t i = 0; i < order.size(); ++i) order[i] = i;
  std::stable_sort(order.begin(), order.end(),
                   [&](std::uint32_t a, std::uint32_t b) { return series.at[a] < series.at[b]; });
  Reorder(order, series.at);
  Reorder(order, series.times);
  Reorder(order, series.numbers);
  Reorder(order, series.validity);
  Reorder(order, series.raw);
  Reorder(order, series.texts);
}

// Series from streams, one defined frame after the other.
class ColumnPass {
 public:
  ColumnPass(session::Reader& reader, std::shared_ptr<const Definitions> definitions)
      : reader_(reader),
        decoder_(std::move(definitions)),
        index_(decoder_.definitions(), ChannelBuses(reader.header())),
        clock_(reader) {}

  bool CanRead(std::uint32_t signal) const { return decoder_.HasColumn(signal); }

  // False when the visitor has had enough.
  Result<bool> Run(const std::vector<bool>& chosen, const SeriesVisitor& visit) {
    const Definitions& definitions = decoder_.definitions();
    for (std::uint32_t frame = 0; frame < definitions.frames.size(); ++frame) {
      std::vector<std::uint32_t> signals;
      for (const std::uint32_t signal : definitions.frames[frame].signals) {
        if (chosen[signal] && CanRead(signal)) signals.push_back(signal);
      }
      if (signals.empty()) continue;
      ASSIGN_OR_RETURN(const bool more, RunFrame(frame, signals, visit));
      if (!more) return false;
    }
    return true;
  }

 private:
  Result<bool> RunFrame(std::uint32_t frame, const std::vector<std::uint32_t>& signals,
                        const SeriesVisitor& visit) {
    std::vector<std::unique_ptr<Stream>> streams;
    for (const session::StreamInfo& info : reader_.streams()) {
      if (index_.Find(info.key) != static_cast<int>(frame)) continue;
      ASSIGN_OR_RETURN(session::Column column, reader_.ReadStream(info.key));
      ASSIGN_OR_RETURN(std::vector<Duration> at, clock_.Place(column));
      streams.push_back(
          std::make_unique<Stream>(decoder_, frame, std::move(column), std::move(at)));
    }
    for (const std::uint32_t signal : signals) {
      for (std::uint32_t i = 0; i < decoder_.definitions().signals[signal].count; ++i) {
        Series series = Read(streams, signal, i);
        if (series.size() > 0 && !visit(series)) return false;
      }
    }
    return true;
  }

  static Series Read(const std::vector<std::unique_ptr<Stream>>& streams, std::uint32_t signal,
                     std::uint32_t element) {
    Series series;
    series.signal = signal;
    series.element = element;
    for (const auto& stream : streams) {
      ElementColumn values;
      stream->rows.Decode(signal, element, values);
      Append(*stream, std::move(values), series);
    }
    SortByTime(series);
    return series;
  }

  session::Reader& reader_;
  ColumnDecoder decoder_;
  decoders::FrameIndex index_;
  SessionClock clock_;
};

// Series of signals that need the frames in their order.
class OrderedPass {
 public:
  OrderedPass(session::Reader& reader, std::shared_ptr<const Definitions> definitions,
              std::vector<bool> chosen)
      : reader_(reader), definitions_(std::move(definitions)), chosen_(std::move(chosen)) {}

  Status Run(const SeriesVisitor& visit) {
    const auto decoder = decoders::Decoder::Create(definitions_, ChannelBuses(reader_.header()));
    SessionTimeline timeline;
    std::vector<Value> values;
    RETURN_IF_ERROR(reader_.ForEachFrame([&](const Frame& frame) {
      values.clear();
      decoder->Decode(frame, values);
      timeline.Place(frame);
      Duration& at = last_[KeyOf(frame)];
      at = std::max(at, frame.time - reader_.first_time() + timeline.shift(frame.channel));
      for (const Value& value : values) {
        if (chosen_[value.signal]) Add(value, at, frame.payload());
      }
      return true;
    }));
    for (auto& [key, series] : series_) {
      SortByTime(series);
      if (!visit(series)) break;
    }
    return Status::Ok();
  }

 private:
  void Add(const Value& value, Duration at, ByteSpan payload) {
    Series& series = series_[{value.signal, value.element}];
    series.signal = value.signal;
    series.element = value.element;
    series.at.push_back(at);
    series.times.push_back(value.time);
    series.numbers.push_back(value.number);
    series.validity.push_back(value.validity);
    const Signal& signal = definitions_->signals[value.signal];
    if (!signal.states.empty()) series.raw.push_back(value.raw);
    if (signal.encoding != decoders::Encoding::kText) return;
    const bool there = value.validity == decoders::Validity::kValid;
    series.texts.push_back(there ? decoders::TextOf(signal, value.element, payload).value_or("")
                                 : "");
  }

  session::Reader& reader_;
  std::shared_ptr<const Definitions> definitions_;
  std::vector<bool> chosen_;
  std::map<StreamKey, Duration> last_;  // session time within each stream never goes backward
  std::map<std::pair<std::uint32_t, std::uint32_t>, Series> series_;
};

std::vector<bool> Flags(const Definitions& definitions, std::span<const std::uint32_t> signals) {
  std::vector<bool> chosen(definitions.signals.size());
  for (const std::uint32_t signal : signals) chosen[signal] = true;
  return chosen;
}

}  // namespace

Status VisitSeries(session::Reader& reader, std::shared_ptr<const Definitions> definitions,
                   std::span<const std::uint32_t> signals, const SeriesVisitor& visit) {
  std::vector<bool> chosen = Flags(*definitions, signals);
  ColumnPass columns(reader, definitions);
  ASSIGN_OR_RETURN(const bool more, columns.Run(chosen, visit));
  if (!more) return Status::Ok();
  for (std::uint32_t i = 0; i < chosen.size(); ++i) {
    if (columns.CanRead(i)) chosen[i] = false;
  }
  if (std::find(chosen.begin(), chosen.end(), true) == chosen.end()) return Status::Ok();
  return OrderedPass(reader, std::move(definitions), std::move(chosen)).Run(visit);
}

Result<std::vector<Series>> ReadSeries(session::Reader& reader,
                                       std::shared_ptr<const Definitions> definitions,
                                       std::span<const std::uint32_t> signals) {
  std::vector<Series> all;
  RETURN_IF_ERROR(VisitSeries(reader, std::move(definitions), signals, [&](const Series& series) {
    all.push_back(series);
    return true;
  }));
  return all;
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
