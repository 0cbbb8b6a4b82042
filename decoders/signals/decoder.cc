#include "decoders/signals/decoder.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <limits>

#include "decoders/signals/computed.h"
#include "decoders/signals/frame_index.h"
#include "decoders/signals/plan.h"
#include "decoders/signals/protection.h"
#include "decoders/signals/reading_answers.h"
#include "decoders/signals/text_value.h"
#include "decoders/signals/valid_when.h"

namespace proofdrive::decoders {
namespace {

class PlanDecoder : public Decoder {
 public:
  PlanDecoder(std::shared_ptr<const Definitions> definitions, std::span<const ChannelBus> channels)
      : definitions_(std::move(definitions)),
        plan_(MakePlan(*definitions_)),
        index_(*definitions_, channels),
        validity_(*definitions_),
        computed_(*definitions_),
        readings_(ReadingAnswers::Create(*definitions_, channels)),
        faults_(plan_.frames.size()),
        counters_(plan_.frames.size()) {
    if (readings_ != nullptr) {
      reading_decoder_ = std::make_unique<PlanDecoder>(readings_->frame_definitions(),
                                                       std::span<const ChannelBus>());
    }
  }

  int FindFrame(const StreamKey& key) const override { return index_.Find(key); }
  const std::vector<FrameFaults>& faults() const override { return faults_; }

  int Decode(const Frame& frame, std::vector<Value>& values) override {
    if (readings_ != nullptr) TakeReadings(frame, values);
    const int index = index_.Find(KeyOf(frame));
    if (index < 0) return index;
    const auto at = static_cast<std::size_t>(index);
    const FramePlan& plan = plan_.frames[at];
    FrameFaults& faults = faults_[at];
    ++faults.frames;
    if (plan.length && *plan.length != frame.length) ++faults.wrong_length;
    if (plan.checksum && !ChecksumHolds(*plan.checksum, plan_, frame)) {
      ++faults.checksum_faults;
      counters_[at].Forget(frame);
      return index;
    }
    if (plan.counter && !counters_[at].Follows(*plan.counter, plan_, frame)) {
      ++faults.counter_faults;
    }
    const std::size_t first = values.size();
    Run(plan.always, frame, 0, kAllElements, values);
    if (plan.page && plan.page->number.bytes_needed <= frame.length) {
      RunPage(*plan.page, frame, values);
    }
    validity_.Apply(first, values);
    computed_.Append(first, values);
    return index;
  }

 private:
  void TakeReadings(const Frame& frame, std::vector<Value>& values) {
    const std::size_t first = values.size();
    for (const Frame& answer : readings_->Take(frame)) {
      (void)reading_decoder_->Decode(answer, values);
    }
    if (values.size() > first) computed_.Append(first, values);
  }

  static constexpr std::uint64_t kAllElements = ~std::uint64_t{0};

  void RunPage(const PagePlan& plan, const Frame& frame, std::vector<Value>& values) const {
    const std::uint64_t page = RawBits(plan.number, plan_.pieces.data(), frame.data.data());
    for (const SeriesSteps& series : plan.series) {
      const std::uint64_t place = page - series.first_page;  // huge when the page is before it
      if (place >= series.count) continue;
      Run(series.steps, frame, place * series.per_page, series.count, values);
    }
    RunPages(plan.pages, page, frame, values);
  }

  void RunPages(const std::vector<PageSteps>& pages, std::uint64_t page, const Frame& frame,
                std::vector<Value>& values) const {
    const auto found = std::lower_bound(
        pages.begin(), pages.end(), page,
        [](const PageSteps& steps, std::uint64_t number) { return steps.page < number; });
    if (found == pages.end() || found->page != page) return;
    Run(found->steps, frame, 0, kAllElements, values);
    if (!found->inner || found->inner->bytes_needed > frame.length) return;
    const std::uint64_t inner = RawBits(*found->inner, plan_.pieces.data(), frame.data.data());
    RunPages(found->pages, inner, frame, values);
  }

  // Elements from `first` on, below `count`.
  void Run(StepRange range, const Frame& frame, std::uint64_t first, std::uint64_t count,
           std::vector<Value>& values) const {
    for (std::uint32_t i = range.begin; i < range.end; ++i) {
      const ValueStep& step = plan_.steps[i];
      if (step.extract.bytes_needed > frame.length || first + step.element >= count) continue;
      Value& value = values.emplace_back();
      value.time = frame.time;
      value.signal = step.signal;
      value.element = static_cast<std::uint32_t>(first + step.element);
      if (step.encoding == Encoding::kText) {
        ConvertText(step, frame, value);
        continue;
      }
      Convert(step, RawBits(step.extract, plan_.pieces.data(), frame.data.data()), value);
    }
  }

  bool IsAbsent(const ValueStep& step, std::uint64_t raw) const {
    for (std::uint32_t i = 0; i < step.absent; ++i) {
      if (plan_.absent[step.first_absent + i] == raw) return true;
    }
    return false;
  }

  void Convert(const ValueStep& step, std::uint64_t raw, Value& value) const {
    value.raw = step.encoding == Encoding::kSigned ? SignExtend(raw, step.extract.bits)
                                                   : static_cast<std::int64_t>(raw);
    const double number = NumberOf(step, raw, value.raw) * step.scale + step.offset;
    if (std::isnan(number) || IsAbsent(step, raw)) {
      value.number = std::numeric_limits<double>::quiet_NaN();
      value.validity = Validity::kAbsent;
      return;
    }
    value.number = number;
    const bool in_range = number >= step.low && number <= step.high && !std::isinf(number);
    value.validity = in_range ? Validity::kValid : Validity::kOutOfRange;
  }

  void ConvertText(const ValueStep& step, const Frame& frame, Value& value) const {
    const Signal& signal = definitions_->signals[step.signal];
    value.number = std::numeric_limits<double>::quiet_NaN();
    const bool there =
        TextOf(signal, value.element, ByteSpan(frame.data.data(), frame.length)).has_value();
    value.validity = there ? Validity::kValid : Validity::kAbsent;
  }

  static double NumberOf(const ValueStep& step, std::uint64_t bits, std::int64_t raw) {
    switch (step.encoding) {
      case Encoding::kUnsigned:
        return static_cast<double>(bits);
      case Encoding::kSigned:
        return static_cast<double>(raw);
      case Encoding::kFloat32:
        return std::bit_cast<float>(static_cast<std::uint32_t>(bits));
      case Encoding::kFloat64:
        return std::bit_cast<double>(bits);
      case Encoding::kText:
        break;  // ConvertText
    }
    return 0;
  }

  std::shared_ptr<const Definitions> definitions_;
  Plan plan_;
  FrameIndex index_;
  ValidityConditions validity_;
  ComputedSignals computed_;
  std::unique_ptr<ReadingAnswers> readings_;  // null when there are none
  std::unique_ptr<PlanDecoder> reading_decoder_;
  std::vector<FrameFaults> faults_;
  std::vector<CounterWatch> counters_;
};

}  // namespace

std::unique_ptr<Decoder> Decoder::Create(std::shared_ptr<const Definitions> definitions,
                                         std::span<const ChannelBus> channels) {
  return std::make_unique<PlanDecoder>(std::move(definitions), channels);
}

}  // namespace proofdrive::decoders
