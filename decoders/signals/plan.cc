#include "decoders/signals/plan.h"

#include <limits>
#include <map>

namespace proofdrive::decoders {
namespace {

class PlanMaker {
 public:
  explicit PlanMaker(const Definitions& definitions) : definitions_(definitions) {}

  Plan Make() {
    for (const FrameDefinition& frame : definitions_.frames) AddFrame(frame);
    return std::move(plan_);
  }

 private:
  std::uint32_t Here() const { return static_cast<std::uint32_t>(plan_.steps.size()); }

  void AddFrame(const FrameDefinition& frame) {
    FramePlan out;
    out.length = frame.length;
    out.always.begin = Here();
    for (const std::uint32_t index : frame.signals) {
      const Signal& signal = definitions_.signals[index];
      if (!signal.page && !(signal.is_series && frame.page)) AddSignal(index);
    }
    out.always.end = Here();
    if (frame.page) out.page = std::make_unique<const PagePlan>(MakePages(frame));
    if (frame.counter) {
      out.counter = std::make_unique<const CounterStep>(CounterStep{
          MakeExtract(frame.counter->location, plan_.pieces), frame.counter->counts_to});
    }
    if (frame.checksum) {
      ChecksumStep step = MakeChecksum(*frame.checksum);
      if (out.counter) step.counter = out.counter->extract;
      out.checksum = std::make_unique<const ChecksumStep>(std::move(step));
    }
    plan_.frames.push_back(std::move(out));
  }

  PagePlan MakePages(const FrameDefinition& frame) {
    PagePlan out;
    out.number = MakeExtract(*frame.page, plan_.pieces);
    std::vector<std::uint32_t> paged;
    for (const std::uint32_t index : frame.signals) {
      const Signal& signal = definitions_.signals[index];
      if (signal.page) {
        paged.push_back(index);
      } else if (signal.is_series) {
        const std::uint32_t begin = Here();
        AddSignal(index);
        out.series.push_back({signal.first_page, signal.per_page, signal.count, {begin, Here()}});
      }
    }
    AddPages(paged, 0, out.pages);
    return out;
  }

  static std::uint64_t PageOf(const Signal& signal, std::size_t level) {
    return level == 0 ? *signal.page : signal.inner_pages[level - 1].page;
  }

  // Signals that share their pages above `level`, sorted into the pages of this level.
  void AddPages(const std::vector<std::uint32_t>& signals, std::size_t level,
                std::vector<PageSteps>& out) {
    std::map<std::uint64_t, std::vector<std::uint32_t>> pages;
    for (const std::uint32_t index : signals) {
      pages[PageOf(definitions_.signals[index], level)].push_back(index);
    }
    for (const auto& [page, members] : pages) {
      PageSteps steps;
      steps.page = page;
      steps.steps.begin = Here();
      std::vector<std::uint32_t> deeper;
      for (const std::uint32_t index : members) {
        const Signal& signal = definitions_.signals[index];
        if (signal.inner_pages.size() == level) {
          AddSignal(index);
          continue;
        }
        steps.inner = MakeExtract(signal.inner_pages[level].where, plan_.pieces);
        deeper.push_back(index);
      }
      steps.steps.end = Here();
      AddPages(deeper, level + 1, steps.pages);
      out.push_back(std::move(steps));
    }
  }

  void AddSignal(std::uint32_t index) {
    const Signal& signal = definitions_.signals[index];
    if (!signal.is_series) return AddStep(index, signal, signal.location, 0);
    for (std::uint32_t i = 0; i < signal.elements.size(); ++i) {
      AddStep(index, signal, signal.elements[i], i);
    }
  }

  void AddStep(std::uint32_t index, const Signal& signal, const Location& location,
               std::uint32_t element) {
    constexpr double kInfinity = std::numeric_limits<double>::infinity();
    ValueStep step;
    if (signal.encoding == Encoding::kText) {
      step.extract.bytes_needed = static_cast<std::uint8_t>(location.bytes_needed());
    } else {
      step.extract = MakeExtract(location, plan_.pieces);
    }
    step.signal = index;
    step.element = element;
    step.encoding = signal.encoding;
    step.scale = signal.scale;
    step.offset = signal.offset;
    step.low = signal.range ? signal.range->low : -kInfinity;
    step.high = signal.range ? signal.range->high : kInfinity;
    step.first_absent = AbsentOf(index, signal);
    step.absent = static_cast<std::uint32_t>(signal.absent.size());
    plan_.steps.push_back(step);
  }

  // The elements of a series share their patterns.
  std::uint32_t AbsentOf(std::uint32_t index, const Signal& signal) {
    if (!plan_.steps.empty() && plan_.steps.back().signal == index) {
      return plan_.steps.back().first_absent;
    }
    const auto first = static_cast<std::uint32_t>(plan_.absent.size());
    plan_.absent.insert(plan_.absent.end(), signal.absent.begin(), signal.absent.end());
    return first;
  }

  ChecksumStep MakeChecksum(const ChecksumRule& rule) {
    ChecksumStep step;
    step.extract = MakeExtract(rule.location, plan_.pieces);
    step.checksum = FindChecksum(rule.kind);
    step.first_byte = rule.first_byte;
    step.last_byte = rule.last_byte;
    step.kept.fill(0xFF);
    for (const Piece& piece : rule.location.pieces) {
      const unsigned bits = ((1U << piece.count) - 1U) << piece.lowest_bit;
      step.kept[piece.byte] = static_cast<std::uint8_t>(step.kept[piece.byte] & ~bits);
    }
    AddSettings(rule, step);
    return step;
  }

  void AddSettings(const ChecksumRule& rule, ChecksumStep& step) {
    step.settings = rule.settings;
    if (step.checksum->needs == ChecksumNeeds::kPolynomial) {
      step.table = std::make_shared<const Crc8Table>(MakeCrc8Table(rule.settings.polynomial));
    }
    if (rule.nibble.pieces.empty()) return;
    step.nibble = MakeExtract(rule.nibble, plan_.pieces);
    step.nibble_value = (rule.settings.data_ids[0] >> 8) & 0xF;
  }

  const Definitions& definitions_;
  Plan plan_;
};

}  // namespace

Plan MakePlan(const Definitions& definitions) { return PlanMaker(definitions).Make(); }

}  // namespace proofdrive::decoders
