#include "analysis/fit/page_lengths.h"

#include <algorithm>
#include <utility>

namespace proofdrive::analysis {

using decoders::RawBits;
using decoders::Signal;

PageLengths::PageLengths(const decoders::Definitions& definitions) {
  for (const decoders::FrameDefinition& frame : definitions.frames) {
    PagedFrame& paged = frames_.emplace_back();
    if (!frame.page) continue;
    paged.page = decoders::MakeExtract(*frame.page, pieces_);
    for (const std::uint32_t index : frame.signals) {
      const Signal& signal = definitions.signals[index];
      if (signal.page) AddSignal(signal, index, paged);
      if (signal.is_series) AddSeries(signal, index, paged);
    }
    for (const Part& part : paged.parts) paged.longest = std::max(paged.longest, part.needed);
  }
}

void PageLengths::AddSignal(const Signal& signal, std::uint32_t index, PagedFrame& frame) {
  Part part;
  part.signal = index;
  part.needed = signal.location.bytes_needed();
  part.numbers.push_back({frame.page, *signal.page});
  for (const decoders::InnerPage& inner : signal.inner_pages) {
    part.numbers.push_back({decoders::MakeExtract(inner.where, pieces_), inner.page});
    part.needed = std::max(part.needed, inner.where.bytes_needed());
  }
  frame.parts.push_back(std::move(part));
}

// The last page may be partly filled: its last places are not needed there.
void PageLengths::AddSeries(const Signal& signal, std::uint32_t index, PagedFrame& frame) const {
  for (std::uint32_t place = 0; place < signal.elements.size() && place < signal.count; ++place) {
    Part part;
    part.signal = index;
    part.needed = signal.elements[place].bytes_needed();
    part.first_page = signal.first_page;
    part.last_page = signal.first_page + (signal.count - 1 - place) / signal.per_page;
    frame.parts.push_back(std::move(part));
  }
}

// A page number beyond the end of the frame is not known: the page may be another one.
bool PageLengths::Carries(const Part& part, std::uint64_t page, const Frame& frame) const {
  if (part.numbers.empty()) return page >= part.first_page && page <= part.last_page;
  return std::all_of(part.numbers.begin(), part.numbers.end(), [&](const Number& number) {
    return number.where.bytes_needed <= frame.length &&
           RawBits(number.where, pieces_.data(), frame.data.data()) == number.page;
  });
}

void PageLengths::Count(const Frame& frame, std::size_t frame_definition,
                        std::vector<std::uint64_t>& too_short) const {
  const PagedFrame& paged = frames_[frame_definition];
  if (frame.length >= paged.longest || paged.page.bytes_needed > frame.length) return;
  const std::uint64_t page = RawBits(paged.page, pieces_.data(), frame.data.data());
  const Part* counted = nullptr;
  for (const Part& part : paged.parts) {
    if (part.needed <= frame.length || !Carries(part, page, frame)) continue;
    if (counted == nullptr || counted->signal != part.signal) ++too_short[part.signal];
    counted = &part;
  }
}

}  // namespace proofdrive::analysis
