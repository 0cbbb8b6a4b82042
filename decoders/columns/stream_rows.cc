#include "decoders/columns/stream_rows.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numeric>
#include <utility>

#include "decoders/columns/column_kernels.h"
#include "decoders/signals/protection.h"
#include "decoders/signals/text_value.h"

namespace proofdrive::decoders {
namespace {

ByteSpan PayloadOf(const PayloadColumn& column, std::size_t row) {
  return column.bytes.subspan(row * column.stride, column.stride);
}

}  // namespace

StreamRows::StreamRows(const ColumnDecoder& decoder, std::uint32_t frame,
                       const PayloadColumn& column)
    : decoder_(decoder), plan_(decoder.plan().frames[frame]) {
  usable_.all = true;
  usable_.column = column;
  if (plan_.checksum) LeaveOutUnusable();
  if (plan_.page && plan_.page->number.bytes_needed <= column.stride) SortByPage();
}

// `places`: rising, within `from`.
StreamRows::Part StreamRows::Take(const Part& from,
                                  const std::vector<std::uint32_t>& places) const {
  Part part;
  const std::size_t stride = from.column.stride;
  part.rows.reserve(places.size());
  part.copy.reserve(places.size() * stride);
  for (const std::uint32_t place : places) {
    const ByteSpan payload = PayloadOf(from.column, place);
    part.rows.push_back(from.all ? place : from.rows[place]);
    part.copy.insert(part.copy.end(), payload.begin(), payload.end());
  }
  part.column = {part.copy, stride};
  return part;
}

void StreamRows::LeaveOutUnusable() {
  const PayloadColumn& column = usable_.column;
  std::vector<std::uint32_t> good;
  Frame frame;
  frame.length = static_cast<std::uint8_t>(column.stride);
  for (std::size_t row = 0; row < column.rows(); ++row) {
    const ByteSpan payload = PayloadOf(column, row);
    std::copy(payload.begin(), payload.end(), frame.data.begin());
    if (ChecksumHolds(*plan_.checksum, decoder_.plan(), frame)) {
      good.push_back(static_cast<std::uint32_t>(row));
    }
  }
  unusable_ = column.rows() - good.size();
  if (unusable_ > 0) usable_ = Take(usable_, good);
}

void StreamRows::SortByPage() {
  std::vector<std::uint64_t> numbers(usable_.column.rows());
  decoder_.ReadBits(plan_.page->number, usable_.column, numbers);
  std::map<std::uint64_t, std::vector<std::uint32_t>> places;
  for (std::size_t i = 0; i < numbers.size(); ++i) {
    places[numbers[i]].push_back(static_cast<std::uint32_t>(i));
  }
  for (const auto& [page, rows] : places) pages_.emplace(page, Take(usable_, rows));
}

const ValueStep* StreamRows::FindStep(StepRange range, std::uint32_t signal,
                                      std::uint32_t element) const {
  for (std::uint32_t i = range.begin; i < range.end; ++i) {
    const ValueStep& step = decoder_.plan().steps[i];
    if (step.signal == signal && step.element == element) return &step;
  }
  return nullptr;
}

// The step of a signal that is on one page only, perhaps pages deep.
const ValueStep* StreamRows::FindPaged(const Signal& signal, std::uint32_t index) const {
  const std::vector<PageSteps>* level = &plan_.page->pages;
  for (std::size_t depth = 0;; ++depth) {
    const std::uint64_t page = depth == 0 ? *signal.page : signal.inner_pages[depth - 1].page;
    const auto found = std::find_if(level->begin(), level->end(),
                                    [&](const PageSteps& steps) { return steps.page == page; });
    if (found == level->end()) return nullptr;
    if (depth == signal.inner_pages.size()) return FindStep(found->steps, index, 0);
    level = &found->pages;
  }
}

// The rows of `part`, a page, that carry the pages within it that the signal is on.
StreamRows::Part StreamRows::WithinPage(const Part& part, const Signal& signal) const {
  std::vector<std::uint32_t> places(part.column.rows());
  std::iota(places.begin(), places.end(), 0U);
  std::vector<Piece> pieces;
  std::vector<std::uint64_t> numbers(places.size());
  for (const InnerPage& inner : signal.inner_pages) {
    pieces.clear();
    const Extract extract = MakeExtract(inner.where, pieces);
    if (extract.bytes_needed > part.column.stride) return {};
    ReadColumnBits(extract, pieces.data(), part.column, numbers.data());
    std::erase_if(places, [&](std::uint32_t place) { return numbers[place] != inner.page; });
  }
  return Take(part, places);
}

void StreamRows::Decode(std::uint32_t signal, std::uint32_t element, ElementColumn& out) const {
  out.rows.clear();  // keeps the memory
  out.numbers.clear();
  out.validity.clear();
  out.raw.clear();
  out.texts.clear();
  const Signal& what = decoder_.definitions().signals[signal];
  const bool in_pages = what.is_series && plan_.page != nullptr;
  if (!what.page && !in_pages) {
    return DecodeIn(usable_, FindStep(plan_.always, signal, element), out);
  }
  const auto found = pages_.find(
      what.page ? *what.page : std::uint64_t{what.first_page} + element / what.per_page);
  if (found == pages_.end()) return;
  if (!what.page) {
    for (const SeriesSteps& series : plan_.page->series) {
      const ValueStep* step = FindStep(series.steps, signal, element % what.per_page);
      if (step != nullptr) return DecodeIn(found->second, step, out);
    }
  } else if (what.inner_pages.empty()) {
    DecodeIn(found->second, FindPaged(what, signal), out);
  } else {
    DecodeIn(WithinPage(found->second, what), FindPaged(what, signal), out);
  }
}

void StreamRows::DecodeIn(const Part& part, const ValueStep* step, ElementColumn& out) const {
  if (step == nullptr || step->extract.bytes_needed > part.column.stride) return;
  const std::size_t rows = part.column.rows();
  out.rows = part.rows;
  if (part.all) {
    out.rows.resize(rows);
    std::iota(out.rows.begin(), out.rows.end(), 0U);
  }
  out.numbers.resize(rows, std::numeric_limits<double>::quiet_NaN());
  out.validity.resize(rows);
  if (step->encoding == Encoding::kText) return ReadTexts(part, *step, out);
  decoder_.DecodeStep(*step, part.column, out.numbers);
  Judge(*step, out);
  if (decoder_.definitions().signals[step->signal].states.empty()) return;
  std::vector<std::uint64_t> bits(rows);
  decoder_.ReadBits(step->extract, part.column, bits);
  for (const std::uint64_t raw : bits) {
    out.raw.push_back(step->encoding == Encoding::kSigned ? SignExtend(raw, step->extract.bits)
                                                          : static_cast<std::int64_t>(raw));
  }
}

void StreamRows::Judge(const ValueStep& step, ElementColumn& out) const {
  for (std::size_t i = 0; i < out.numbers.size(); ++i) {
    const double number = out.numbers[i];
    const bool in_range = number >= step.low && number <= step.high && !std::isinf(number);
    out.validity[i] = std::isnan(number) ? Validity::kAbsent
                      : in_range         ? Validity::kValid
                                         : Validity::kOutOfRange;
  }
}

void StreamRows::ReadTexts(const Part& part, const ValueStep& step, ElementColumn& out) const {
  const Signal& signal = decoder_.definitions().signals[step.signal];
  out.texts.resize(out.rows.size());
  for (std::size_t i = 0; i < out.rows.size(); ++i) {
    auto text = TextOf(signal, step.element, PayloadOf(part.column, i));
    out.validity[i] = text ? Validity::kValid : Validity::kAbsent;
    if (text) out.texts[i] = std::move(*text);
  }
}

}  // namespace proofdrive::decoders
