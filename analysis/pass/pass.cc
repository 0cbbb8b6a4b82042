#include "analysis/pass/pass.h"

#include <algorithm>
#include <future>
#include <utility>

#include "analysis/session/definition_set.h"

namespace proofdrive::analysis {

Pass::Pass(session::Reader& reader, std::shared_ptr<const decoders::Definitions> definitions)
    : reader_(reader), definitions_(std::move(definitions)), clock_(reader) {}

void Pass::ChooseSignals() {
  if (series_.empty()) return;
  std::vector<bool> all(definitions_->signals.size());
  for (SeriesConsumer* consumer : series_) {
    Listener listener{consumer, std::vector<bool>(all.size())};
    for (const std::uint32_t signal : consumer->Signals()) {
      listener.chosen[signal] = all[signal] = true;
    }
    listeners_.push_back(std::move(listener));
  }
  columns_.emplace(reader_, definitions_, all);
  for (std::uint32_t i = 0; i < all.size(); ++i) {
    if (columns_->CanRead(i)) all[i] = false;
  }
  if (std::find(all.begin(), all.end(), true) == all.end()) return;
  ordered_.emplace(definitions_, std::move(all), reader_.first_time());
}

session::BlockRequest Pass::Prepare() {
  ChooseSignals();
  session::BlockRequest request;
  request.all = !frames_.empty() || ordered_.has_value();
  if (request.all && definitions_ != nullptr) {
    decoder_ = decoders::Decoder::Create(definitions_, ChannelBuses(reader_.header()));
  }
  if (request.all || !columns_) return request;
  request.streams = columns_->streams();
  request.streams.insert(request.streams.end(), clock_.watched().begin(), clock_.watched().end());
  std::sort(request.streams.begin(), request.streams.end());
  request.streams.erase(std::unique(request.streams.begin(), request.streams.end()),
                        request.streams.end());
  return request;
}

Status Pass::Run(const Progress& progress) {
  const session::BlockRequest request = Prepare();
  if (!AnyListens()) return Status::Ok();
  Status status;
  RETURN_IF_ERROR(reader_.ForEachBlock(request, [&](const session::FrameBlock& block) {
    status = OnBlock(block);
    if (progress) progress(block.done(), reader_.frame_count());
    return status.ok() && AnyListens();
  }));
  return status;
}

// Columns and frames share nothing but the block: two threads do both.
Status Pass::OnBlock(const session::FrameBlock& block) {
  const auto give = [this](const Series& series) { Give(series); };
  const bool in_order = !frames_.empty() || (ordered_ && !listeners_.empty());
  std::future<void> columns;
  if (!listeners_.empty()) {
    RETURN_IF_ERROR(clock_.Look(block));
    const auto how = in_order ? std::launch::async | std::launch::deferred : std::launch::deferred;
    columns = std::async(how, [&] { columns_->Visit(block, clock_, give); });
  }
  if (in_order) {
    block.ForEachBatch([this](std::span<const Frame> frames) {
      return std::all_of(frames.begin(), frames.end(),
                         [this](const Frame& frame) { return OnFrame(frame); });
    });
  }
  if (columns.valid()) columns.get();
  if (ordered_) ordered_->Flush(give);
  std::erase_if(listeners_,
                [](const Listener& listener) { return !listener.consumer->OnEndOfStretch(); });
  return Status::Ok();
}

// False when nobody wants more.
bool Pass::OnFrame(const Frame& frame) {
  values_.clear();
  const int definition = decoder_ == nullptr ? -1 : decoder_->Decode(frame, values_);
  const DecodedFrame decoded{frame, timeline_.Place(frame), definition, values_};
  if (ordered_) ordered_->Add(frame, timeline_, values_);
  bool ended = false;
  for (FrameConsumer*& consumer : frames_) {
    if (consumer->OnFrame(decoded)) continue;
    consumer = nullptr;
    ended = true;
  }
  if (ended) std::erase(frames_, nullptr);
  return !frames_.empty() || ordered_;
}

void Pass::Give(const Series& series) {
  for (const Listener& listener : listeners_) {
    if (listener.chosen[series.signal]) listener.consumer->OnSeries(series);
  }
}

std::vector<std::uint32_t> SignalOrder(
    const std::shared_ptr<const decoders::Definitions>& definitions) {
  const decoders::ColumnDecoder decoder(definitions);
  const auto count = static_cast<std::uint32_t>(definitions->signals.size());
  std::vector<std::uint32_t> order(count);
  for (std::uint32_t i = 0; i < count; ++i) order[i] = count + i;
  std::uint32_t next = 0;
  for (const decoders::FrameDefinition& frame : definitions->frames) {
    for (const std::uint32_t signal : frame.signals) {
      if (decoder.HasColumn(signal)) order[signal] = next++;
    }
  }
  return order;
}

}  // namespace proofdrive::analysis
