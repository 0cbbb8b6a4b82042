#include "tests/survey/score.h"

#include <algorithm>
#include <map>
#include <set>

#include "decoders/language/where_parser.h"

namespace proofdrive::survey_tests {
namespace {

using analysis::survey::BitSet;
using analysis::survey::FoundFrame;
using analysis::survey::Identifier;
using analysis::survey::PayloadRows;
using analysis::survey::ValueIn;

// Whether a two's complement number was on both sides of zero: else nobody can tell.
bool GoesThroughZero(const decoders::Location& location, const PayloadRows& rows);

// Bits most significant first, as 8 * byte + bit; only those that changed.
using Bits = std::vector<std::size_t>;

Bits ChangedBitsOf(const decoders::Location& location, const BitSet& changed) {
  Bits bits;
  for (const decoders::Piece& piece : location.pieces) {
    if (piece.byte >= changed.stride()) continue;
    for (unsigned i = piece.count; i-- > 0;) {
      const unsigned bit = piece.lowest_bit + i;
      if (changed.Has(piece.byte, bit)) bits.push_back(8 * std::size_t{piece.byte} + bit);
    }
  }
  return bits;
}

double Jaccard(const Bits& a, const Bits& b) {
  const std::set<std::size_t> left(a.begin(), a.end());
  const std::set<std::size_t> right(b.begin(), b.end());
  std::size_t both = 0;
  for (const std::size_t bit : left) both += right.count(bit);
  return static_cast<double>(both) / static_cast<double>(left.size() + right.size() - both);
}

bool GoesThroughZero(const decoders::Location& location, const PayloadRows& rows) {
  const unsigned width = location.bits();
  bool below = false;
  bool above = false;
  for (std::size_t row = 0; row < rows.size(); ++row) {
    const std::uint64_t value = ValueIn(location, rows.row(row));
    const bool negative = ((value >> (width - 1)) & 1U) != 0;
    below = below || negative;
    above = above || (!negative && value != 0);
  }
  return below && above;
}

PayloadRows RowsOfPage(const PayloadRows& rows, const decoders::Location& selector,
                       std::uint64_t page) {
  PayloadRows chosen;
  chosen.stride = rows.stride;
  for (std::size_t row = 0; row < rows.size(); ++row) {
    if (ValueIn(selector, rows.row(row)) == page) chosen.Add(rows.row(row), rows.times[row]);
  }
  return chosen;
}

struct FieldBits {
  Bits bits;
  bool several_bytes = false;
  bool is_signed = false;
  std::string where;
};

FieldBits MakeBits(const decoders::Location& location, bool is_signed, const BitSet& changed) {
  FieldBits field{ChangedBitsOf(location, changed), false, is_signed,
                  decoders::FormatLocation(location)};
  for (const std::size_t bit : field.bits) {
    field.several_bytes = field.several_bytes || bit / 8 != field.bits.front() / 8;
  }
  return field;
}

std::vector<FieldBits> ProposedOn(const std::vector<const FoundFrame*>& found,
                                  std::optional<std::uint64_t> page, const BitSet& changed) {
  std::vector<FieldBits> fields;
  std::set<Bits> seen;
  for (const FoundFrame* frame : found) {
    // Pages where there are none count with all they propose, pages that were missed with what was
    // proposed for the whole.
    if (page && frame->page && frame->page != page) continue;
    for (const auto& field : frame->fields) {
      FieldBits bits = MakeBits(field.location, field.is_signed == true, changed);
      if (bits.bits.empty() || !seen.insert(bits.bits).second) continue;
      fields.push_back(std::move(bits));
    }
  }
  return fields;
}

void Judge(const FieldBits& truth, const std::vector<FieldBits>& proposed, double weight,
           const std::string& name, Score& score) {
  score.true_fields += weight;
  const std::set<std::size_t> wanted(truth.bits.begin(), truth.bits.end());
  double best = 0;
  std::string nearest;
  for (const FieldBits& field : proposed) {
    const double overlap = Jaccard(truth.bits, field.bits);
    if (overlap > best) best = overlap, nearest = field.where;
    if (std::set<std::size_t>(field.bits.begin(), field.bits.end()) != wanted) continue;
    score.exact += weight;
    if (truth.several_bytes) {
      score.multi_byte += weight;
      score.order_right += field.bits == truth.bits ? weight : 0;
    }
    if (truth.is_signed) {
      score.is_signed += weight;
      score.sign_found += field.is_signed ? weight : 0;
      if (!field.is_signed) score.misses.push_back("sign of " + name + " " + truth.where);
    } else {
      score.called_signed_wrongly += field.is_signed ? weight : 0;
      if (field.is_signed) score.misses.push_back("not signed: " + name + " " + truth.where);
    }
  }
  score.overlap += weight * best;
  if (best < 1) score.misses.push_back(name + " " + truth.where + " read as " + nearest);
}

void ScorePage(const Identifier& identifier, const TrueFrame& truth,
               const std::vector<const FoundFrame*>& found, std::optional<std::uint64_t> page,
               double weight, Score& score) {
  const PayloadRows rows =
      page ? RowsOfPage(identifier.rows, *truth.selector, *page) : identifier.rows;
  if (rows.size() < 2) return;
  const BitSet changed = analysis::survey::ChangedBits(rows);
  const std::vector<FieldBits> proposed = ProposedOn(found, page, changed);
  score.proposed += weight * static_cast<double>(proposed.size());
  for (const TrueField& field : truth.fields) {
    if (field.page && field.page != page) continue;
    const FieldBits bits =
        MakeBits(field.location, field.is_signed && GoesThroughZero(field.location, rows), changed);
    if (bits.bits.empty()) continue;
    Judge(bits, proposed, weight, FormatId(truth.id, truth.extended ? kExtendedId : 0), score);
  }
}

bool IncludesModel(const std::vector<analysis::survey::ChecksumModel>& models,
                   const analysis::survey::ChecksumModel& wanted) {
  return std::any_of(models.begin(), models.end(), [&](const auto& model) {
    return model.kind == wanted.kind && model.polynomial == wanted.polynomial;
  });
}

void ScoreProtection(const TrueFrame& truth, const FoundFrame& found, Score& score) {
  const std::string name = FormatId(truth.id, truth.extended ? kExtendedId : 0);
  if (truth.checksum) {
    ++score.checksums;
    const bool right = found.checksum && found.checksum->location == *truth.checksum &&
                       IncludesModel(found.checksum->models, truth.model);
    score.checksums_right += right ? 1 : 0;
    if (!right) {
      score.misses.push_back("checksum of " + name + ": " +
                             (found.checksum
                                  ? found.checksum->models.front().kind + " " +
                                        decoders::FormatLocation(found.checksum->location)
                                  : std::string("none")));
    }
  } else if (found.checksum) {
    ++score.checksums_false;
    score.misses.push_back("false checksum of " + name);
  }
  if (truth.counter) {
    ++score.counters;
    const bool right = found.counter && found.counter->location == truth.counter->location &&
                       found.counter->counts_to == truth.counter->counts_to;
    score.counters_right += right ? 1 : 0;
    if (!right) {
      score.misses.push_back("counter of " + name + " at " +
                             decoders::FormatLocation(truth.counter->location) + " to " +
                             std::to_string(truth.counter->counts_to) + ": " +
                             (found.counter ? decoders::FormatLocation(found.counter->location) +
                                                  " to " + std::to_string(found.counter->counts_to)
                                            : std::string("none")));
    }
  } else if (found.counter) {
    ++score.counters_false;
    score.misses.push_back("false counter of " + name + " at " +
                           decoders::FormatLocation(found.counter->location));
  }
  if (truth.selector) {
    ++score.selectors;
    const bool right = found.selector && *found.selector == *truth.selector;
    score.selectors_right += right ? 1 : 0;
    if (!right) score.misses.push_back("pages of " + name);
  } else if (found.selector) {
    ++score.selectors_false;
    score.misses.push_back("false pages of " + name + " at " +
                           decoders::FormatLocation(*found.selector));
  }
}

const Identifier* FindIdentifier(const Recording& recording, const TrueFrame& truth) {
  for (const Identifier& identifier : recording.identifiers) {
    if (identifier.bus == truth.bus && identifier.id == truth.id &&
        identifier.extended == truth.extended) {
      return &identifier;
    }
  }
  return nullptr;
}

std::set<std::uint64_t> PagesOf(const Identifier& identifier, const TrueFrame& truth) {
  std::set<std::uint64_t> pages;
  for (std::size_t row = 0; row < identifier.rows.size(); ++row) {
    pages.insert(ValueIn(*truth.selector, identifier.rows.row(row)));
  }
  return pages;
}

}  // namespace

double Score::F1() const {
  return true_fields + proposed > 0 ? 2 * exact / (true_fields + proposed) : 0;
}

void Score::Add(const Score& other) {
  true_fields += other.true_fields, proposed += other.proposed, exact += other.exact;
  overlap += other.overlap, multi_byte += other.multi_byte, order_right += other.order_right;
  is_signed += other.is_signed, sign_found += other.sign_found;
  called_signed_wrongly += other.called_signed_wrongly;
  checksums += other.checksums, checksums_right += other.checksums_right;
  checksums_false += other.checksums_false;
  counters += other.counters, counters_right += other.counters_right;
  counters_false += other.counters_false;
  selectors += other.selectors, selectors_right += other.selectors_right;
  selectors_false += other.selectors_false;
  misses.insert(misses.end(), other.misses.begin(), other.misses.end());
}

Score ScoreOf(const Recording& recording, const std::vector<FoundFrame>& found) {
  Score score;
  for (const TrueFrame& truth : recording.truth) {
    const Identifier* identifier = FindIdentifier(recording, truth);
    if (identifier == nullptr) continue;
    std::vector<const FoundFrame*> here;
    for (const FoundFrame& frame : found) {
      if (frame.bus == truth.bus && frame.id == truth.id && frame.extended == truth.extended) {
        here.push_back(&frame);
      }
    }
    if (here.empty()) continue;
    ScoreProtection(truth, *here.front(), score);
    if (!truth.selector) {
      ScorePage(*identifier, truth, here, std::nullopt, 1, score);
      continue;
    }
    const auto pages = PagesOf(*identifier, truth);
    for (const std::uint64_t page : pages) {
      ScorePage(*identifier, truth, here, page, 1.0 / static_cast<double>(pages.size()), score);
    }
  }
  return score;
}

}  // namespace proofdrive::survey_tests
