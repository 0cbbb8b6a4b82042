#include "analysis/survey/identifier_survey.h"

#include <algorithm>
#include <cmath>
#include <map>

#include "analysis/survey/fields/field_words.h"
#include "analysis/survey/protection/check_by_counter.h"
#include "analysis/survey/protection/checksum_search.h"
#include "analysis/survey/protection/counter_search.h"
#include "analysis/survey/protection/selector_search.h"

namespace proofdrive::analysis::survey {
namespace {

constexpr double kOutlierBits = 30;  // a page that pays this much for the layout of the others

ByteOrder OrderAt(std::size_t index) { return index == 0 ? ByteOrder::kBig : ByteOrder::kLittle; }

void Take(const decoders::Location& location, BitSet& taken) {
  for (const decoders::Piece& piece : location.pieces) {
    taken.AddMask(piece.byte,
                  static_cast<std::uint8_t>(((1U << piece.count) - 1U) << piece.lowest_bit));
  }
}

bool Overlaps(const decoders::Location& location, const BitSet& taken) {
  return std::any_of(location.pieces.begin(), location.pieces.end(),
                     [&](const decoders::Piece& piece) {
                       const unsigned mask = ((1U << piece.count) - 1U) << piece.lowest_bit;
                       return (taken.mask(piece.byte) & mask) != 0;
                     });
}

double MedianPeriod(const PayloadRows& rows) {
  std::vector<double> gaps;
  for (const std::uint32_t pair : Pairs(rows)) {
    gaps.push_back(rows.times[pair + 1] - rows.times[pair]);
  }
  if (gaps.empty()) return 0;
  const auto middle = gaps.begin() + static_cast<std::ptrdiff_t>(gaps.size() / 2);
  std::nth_element(gaps.begin(), middle, gaps.end());
  return *middle;
}

// Bits that never changed, as runs of at most 64.
std::vector<ConstantBits> ConstantsOf(const PayloadRows& rows, const BitSet& changed,
                                      const BitSet& taken) {
  std::vector<ConstantBits> constants;
  const BitLine line(rows.stride, ByteOrder::kBig);
  const auto is_constant = [&](std::size_t position) {
    const BitPlace place = line.PlaceOf(position);
    return !changed.Has(place.byte, place.bit) && !taken.Has(place.byte, place.bit);
  };
  for (std::size_t first = 0; first < line.size();) {
    std::size_t end = first;
    while (end < line.size() && end - first < 64 && is_constant(end)) ++end;
    if (end > first) {
      const decoders::Location location = line.LocationOf({first, end - first});
      constants.push_back({location, ValueIn(location, rows.row(0))});
    }
    first = std::max(end, first + 1);
  }
  return constants;
}

std::size_t ChangesOf(const PayloadRows& rows) {
  std::size_t changes = 0;
  for (const std::uint32_t pair : Pairs(rows)) {
    const std::uint8_t* old = rows.bytes.data() + pair * rows.stride;
    changes += std::equal(old, old + rows.stride, old + rows.stride) ? 0U : 1U;
  }
  return changes;
}

// Check, counter and selector of all frames; their bits are taken.
void FindProtection(const Identifier& identifier, const BitCounts& flips, FoundFrame& whole,
                    BitSet& taken) {
  const PayloadRows& rows = identifier.rows;
  const std::vector<FoundCounter> counters = FindCounters(rows, taken, flips);
  whole.checksum = FindChecksum(rows, identifier.id, flips);
  if (!whole.checksum && !counters.empty()) {
    whole.checksum = FindChecksumByCounter(rows, counters.front(), flips);
  }
  if (whole.checksum && Overlaps(whole.checksum->location, taken)) whole.checksum.reset();
  if (whole.checksum) Take(whole.checksum->location, taken);
  whole.selector = FindSelector(rows, taken, flips);
  if (whole.selector) Take(*whole.selector, taken);
  for (const FoundCounter& counter : counters) {
    if (Overlaps(counter.location, taken)) continue;
    whole.counter = counter;
    Take(counter.location, taken);
    break;
  }
}

std::vector<Draft::Part> PartsByPage(const PayloadRows& rows, const decoders::Location& selector) {
  std::map<std::uint64_t, Draft::Part> pages;
  std::size_t start = 0;
  for (std::size_t row = 0; row < rows.size(); ++row) {
    if (start < rows.starts.size() && rows.starts[start] == row) {
      ++start;
      for (auto& [number, page] : pages) page.rows.Break();
    }
    const std::uint64_t number = ValueIn(selector, rows.row(row));
    Draft::Part& page = pages[number];
    page.page = number;
    page.rows.stride = rows.stride;
    page.rows.Add(rows.row(row), rows.times[row]);
  }
  std::vector<Draft::Part> parts;
  for (auto& [number, page] : pages) parts.push_back(std::move(page));
  return parts;
}

FieldCosts CostsOf(const PayloadRows& rows, const BitSet& taken, ByteOrder order,
                   const CostWeights& weights) {
  const BitCounts flips = CountFlips(rows);
  return FieldCosts(BitLine(rows.stride, order), rows,
                    TellingPairs(rows, taken, flips, weights.most_pairs), taken, flips, weights);
}

// What a layout costs on one page, where the outer bits of its fields may be constant.
double CostOnPage(const FieldCosts& costs, const std::vector<CutField>& layout) {
  double cost = 0;
  for (const CutField& field : layout) {
    std::size_t first = field.run.first;
    std::size_t end = field.run.end();
    while (first < end && !costs.Starts(first)) ++first;
    while (end > first && !costs.Starts(end - 1)) --end;
    if (end > first) cost += costs.Of(first, end - first);
  }
  return cost;
}

PayloadRows Joined(const std::vector<Draft::Part>& parts, const std::vector<std::size_t>& members) {
  PayloadRows rows;
  for (const std::size_t member : members) {
    const PayloadRows& page = parts[member].rows;
    rows.stride = page.stride;
    rows.Break();
    for (std::size_t row = 0; row < page.size(); ++row) {
      if (std::binary_search(page.starts.begin(), page.starts.end(), row)) rows.Break();
      rows.Add(page.row(row), page.times[row]);
    }
  }
  return rows;
}

// Pages of a long list have one layout: cut them together, and keep that for those it suits.
void ShareLayout(std::vector<Draft::Part>& parts, std::size_t order, const CostWeights& weights) {
  std::vector<std::size_t> members;
  for (std::size_t i = 0; i < parts.size(); ++i) members.push_back(i);
  for (int round = 0; round < 2 && members.size() > 1; ++round) {
    const PayloadRows rows = Joined(parts, members);
    const Cut cut = CheapestCut(CostsOf(rows, parts.front().taken, OrderAt(order), weights));
    std::vector<std::size_t> suited;
    double alone = 0;
    for (const std::size_t member : members) {
      const FieldCosts own =
          CostsOf(parts[member].rows, parts[member].taken, OrderAt(order), weights);
      if (CostOnPage(own, cut.fields) > parts[member].cost[order] + kOutlierBits) continue;
      suited.push_back(member);
      alone += parts[member].cost[order];
    }
    if (suited.size() == members.size()) {
      if (cut.cost > alone) return;
      for (const std::size_t member : members) {
        parts[member].fields[order] = cut.fields;
        parts[member].cost[order] = cut.cost / static_cast<double>(members.size());
      }
      return;
    }
    members = std::move(suited);
  }
}

bool AnyChanged(const Run& run, const BitLine& line, const BitSet& changed) {
  for (std::size_t position = run.first; position < run.end(); ++position) {
    const BitPlace place = line.PlaceOf(position);
    if (changed.Has(place.byte, place.bit)) return true;
  }
  return false;
}

std::vector<Field> FieldsOf(const Draft::Part& part, ByteOrder order) {
  const BitSet changed = ChangedBits(part.rows);
  const BitLine line(part.rows.stride, order);
  std::vector<Field> fields;
  for (const CutField& cut : part.fields[order == ByteOrder::kBig ? 0 : 1]) {
    if (!AnyChanged(cut.run, line, changed)) continue;
    fields.push_back(DescribeField(cut, line, part.rows, changed, part.taken));
  }
  std::sort(fields.begin(), fields.end(), [](const Field& a, const Field& b) {
    const auto& left = a.location.pieces.front();
    const auto& right = b.location.pieces.front();
    return left.byte != right.byte ? left.byte < right.byte : left.lowest_bit > right.lowest_bit;
  });
  return fields;
}

void CutPart(Draft::Part& part, const CostWeights& weights) {
  if (part.rows.size() < 2) return;
  for (std::size_t order = 0; order < 2; ++order) {
    Cut cut = CheapestCut(CostsOf(part.rows, part.taken, OrderAt(order), weights));
    part.cost[order] = cut.cost;
    part.fields[order] = std::move(cut.fields);
  }
}

std::string TooLittle(const PayloadRows& rows, std::size_t changes) {
  if (rows.size() < kLeastFrames) {
    return "too little: " + std::to_string(rows.size()) + (rows.size() == 1 ? " frame" : " frames");
  }
  if (changes == 0) return "never changed";
  if (changes < kLeastChanges) {
    return "too little: " + std::to_string(changes) + (changes == 1 ? " change" : " changes");
  }
  return "";
}

}  // namespace

Draft StartSurvey(const Identifier& identifier, const CostWeights& weights) {
  const PayloadRows& rows = identifier.rows;
  Draft draft;
  draft.whole.bus = identifier.bus;
  draft.whole.id = identifier.id;
  draft.whole.extended = identifier.extended;
  draft.whole.frames = rows.size();
  draft.whole.length = rows.stride;
  draft.whole.period_s = MedianPeriod(rows);
  if (rows.size() == 0) return draft;
  BitSet taken(rows.stride);
  for (std::size_t i = 0; i < identifier.described.stride() && i < rows.stride; ++i) {
    taken.AddMask(i, identifier.described.mask(i));
  }
  draft.whole.notice = TooLittle(rows, ChangesOf(rows));
  draft.whole.constant = ConstantsOf(rows, ChangedBits(rows), taken);
  if (!draft.whole.notice.empty()) return draft;
  FindProtection(identifier, CountFlips(rows), draft.whole, taken);
  if (draft.whole.selector) {
    draft.parts = PartsByPage(rows, *draft.whole.selector);
  } else {
    draft.parts.push_back({std::nullopt, rows, taken, {0, 0}, {}});
  }
  for (Draft::Part& part : draft.parts) {
    part.taken = taken;
    CutPart(part, weights);
  }
  for (std::size_t order = 0; order < 2 && draft.parts.size() > 1; ++order) {
    ShareLayout(draft.parts, order, weights);
  }
  return draft;
}

double OrderEvidence(const Draft& draft) {
  double bits = 0;
  for (const Draft::Part& part : draft.parts) bits += part.cost[1] - part.cost[0];
  return bits;
}

std::vector<FoundFrame> FinishSurvey(const Draft& draft, ByteOrder order) {
  std::vector<FoundFrame> found = {draft.whole};
  for (const Draft::Part& part : draft.parts) {
    if (!part.page) {
      found.front().fields = FieldsOf(part, order);
      continue;
    }
    FoundFrame page;
    page.bus = draft.whole.bus;
    page.id = draft.whole.id;
    page.extended = draft.whole.extended;
    page.page = part.page;
    page.frames = part.rows.size();
    page.length = part.rows.stride;
    page.period_s = MedianPeriod(part.rows);
    page.constant = ConstantsOf(part.rows, ChangedBits(part.rows), part.taken);
    page.notice = TooLittle(part.rows, ChangesOf(part.rows));
    if (part.rows.size() >= kLeastFrames) page.fields = FieldsOf(part, order);
    found.push_back(std::move(page));
  }
  return found;
}

}  // namespace proofdrive::analysis::survey
