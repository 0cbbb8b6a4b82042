#include "analysis/survey/protection/checksum_search.h"

#include <algorithm>
#include <bit>
#include <cmath>
#include <map>
#include <set>

#include "analysis/survey/fields/field_cuts.h"
#include "analysis/survey/protection/check_models.h"

namespace proofdrive::analysis::survey {
namespace {

constexpr std::size_t kSample = 96;  // different payloads that models are tried on first
constexpr double kLeastShare = 0.99;
constexpr std::size_t kMostTried = 20000;  // rows that a model which is left is held against

// Rows in which a payload differs from all those before it, spread over first..last.
std::vector<std::uint32_t> DifferentRows(const PayloadRows& rows, std::size_t first,
                                         std::size_t last) {
  std::vector<std::uint32_t> chosen;
  std::set<std::vector<std::uint8_t>> seen;
  const std::size_t apart = std::max<std::size_t>(1, (last - first) / (4 * kSample));
  for (const std::size_t step : {apart, std::size_t{1}}) {
    for (std::size_t row = first; row < last && chosen.size() < kSample; row += step) {
      const ByteSpan payload = rows.row(row);
      if (!seen.emplace(payload.begin(), payload.end()).second) continue;
      chosen.push_back(static_cast<std::uint32_t>(row));
    }
    if (apart == 1) break;
  }
  return chosen;
}

// How many of the payloads differ independently of one another apart from the check: rank of their
// differences over GF(2), at most 63.
unsigned RankOfDifferences(const PayloadRows& rows, const std::vector<std::uint32_t>& sample,
                           const decoders::Location& check) {
  std::vector<std::vector<std::uint8_t>> basis;
  for (std::size_t i = 1; i < sample.size(); ++i) {
    std::vector<std::uint8_t> row(rows.stride);
    for (std::size_t k = 0; k < rows.stride; ++k) {
      row[k] = rows.row(sample[i])[k] ^ rows.row(sample[0])[k];
    }
    for (const decoders::Piece& piece : check.pieces) {
      row[piece.byte] &=
          static_cast<std::uint8_t>(~(((1U << piece.count) - 1U) << piece.lowest_bit));
    }
    for (const auto& known : basis) {
      // Each keeps the highest bit of its own: clear that one.
      const auto at = static_cast<std::size_t>(
          std::find_if(known.begin(), known.end(), [](std::uint8_t b) { return b != 0; }) -
          known.begin());
      const auto highest = static_cast<std::uint8_t>(std::bit_floor(unsigned{known[at]}));
      if ((row[at] & highest) == 0) continue;
      for (std::size_t k = 0; k < row.size(); ++k) row[k] ^= known[k];
    }
    if (std::any_of(row.begin(), row.end(), [](std::uint8_t b) { return b != 0; })) {
      basis.push_back(row);
    }
    if (basis.size() >= 63) break;
  }
  return static_cast<unsigned>(basis.size());
}

// Equations that make a false model unlikely among 150 identifiers (3e5 models, one in a thousand):
// 28 bits of evidence.
unsigned RankNeeded(unsigned bits) { return bits == 4 ? 7 : bits == 8 ? 4 : 2; }

struct Held {
  CheckModel model;
  std::uint32_t constant = 0;
  double first_share = 0;
  double second_share = 0;
  std::size_t tried = 0;
};

std::uint32_t MostCommon(const std::map<std::uint32_t, std::size_t>& counts) {
  std::uint32_t best = 0;
  std::size_t most = 0;
  for (const auto& [value, count] : counts) {
    if (count > most) best = value, most = count;
  }
  return best;
}

// Whether at least `least` of some payloads give one constant, which is put into `constant`.
bool MayHold(const CheckModel& model, const PayloadRows& rows,
             const std::vector<std::uint32_t>& sample, std::uint32_t& constant) {
  // A payload may be damaged: of the first five, three must agree.
  std::map<std::uint32_t, std::size_t> counts;
  const std::size_t few = std::min<std::size_t>(5, sample.size());
  for (std::size_t i = 0; i < few; ++i) {
    ++counts[ConstantOf(model, rows.row(sample[i * (sample.size() - 1) / (few - 1)]))];
    if (counts.size() > few - 2) return false;
  }
  constant = MostCommon(counts);
  std::size_t holds = 0;
  for (const std::uint32_t row : sample) {
    holds += ConstantOf(model, rows.row(row)) == constant ? 1U : 0U;
  }
  return static_cast<double>(holds) >= 0.95 * static_cast<double>(sample.size());
}

double ShareIn(const CheckModel& model, std::uint32_t constant, const PayloadRows& rows,
               std::size_t first, std::size_t last) {
  if (first >= last) return 0;
  const std::size_t step = std::max<std::size_t>(1, (last - first) / kMostTried);
  std::size_t holds = 0;
  std::size_t tried = 0;
  for (std::size_t row = first; row < last; row += step, ++tried) {
    holds += ConstantOf(model, rows.row(row)) == constant ? 1U : 0U;
  }
  return static_cast<double>(holds) / static_cast<double>(tried);
}

std::size_t ChangingBytesBeside(const decoders::Location& check, const BitCounts& flips) {
  std::size_t count = 0;
  for (std::size_t byte = 0; byte < flips.size() / 8; ++byte) {
    bool changes = false;
    for (std::size_t bit = 0; bit < 8; ++bit) {
      const bool own =
          std::any_of(check.pieces.begin(), check.pieces.end(), [&](const decoders::Piece& piece) {
            return piece.byte == byte && bit >= piece.lowest_bit &&
                   bit < std::size_t{piece.lowest_bit} + piece.count;
          });
      changes = changes || (!own && flips[8 * byte + bit] > 0);
    }
    count += changes ? 1U : 0U;
  }
  return count;
}

bool Changes(const CheckPlace& place, const BitCounts& flips) {
  // Every bit of a check moves, unless hardly anything else does.
  unsigned moving = 0;
  for (const decoders::Piece& piece : LocationOf(place).pieces) {
    for (unsigned bit = piece.lowest_bit; bit < unsigned{piece.lowest_bit} + piece.count; ++bit) {
      moving += flips[8 * std::size_t{piece.byte} + bit] > 0 ? 1U : 0U;
    }
  }
  return moving >= (place.bits == 4 ? 3U : 2U);
}

// How unforeseeable the bits of a place are, in bits per pair.
double Unrest(const CheckPlace& place, const BitCounts& flips, std::size_t pairs) {
  double sum = 0;
  for (const decoders::Piece& piece : LocationOf(place).pieces) {
    for (unsigned bit = piece.lowest_bit; bit < unsigned{piece.lowest_bit} + piece.count; ++bit) {
      const double p = std::min(1.0, static_cast<double>(flips[8 * std::size_t{piece.byte} + bit]) /
                                         static_cast<double>(std::max<std::size_t>(1, pairs)));
      if (p > 0 && p < 1) sum -= p * std::log2(p) + (1 - p) * std::log2(1 - p);
    }
  }
  return sum;
}

std::vector<Held> HeldModels(const PayloadRows& rows, std::size_t first, std::size_t last,
                             const BitCounts& flips) {
  std::vector<Held> held;
  const std::vector<std::uint32_t> sample = DifferentRows(rows, first, last);
  if (sample.size() < 5) return held;
  for (const CheckModel& model : ModelsFor(rows.stride)) {
    Held candidate;
    candidate.model = model;
    candidate.tried = sample.size();
    if (!Changes(model.place, flips)) continue;
    if (!MayHold(model, rows, sample, candidate.constant)) continue;
    const decoders::Location place = LocationOf(model.place);
    if (RankOfDifferences(rows, sample, place) < RankNeeded(model.place.bits)) continue;
    if (ChangingBytesBeside(place, flips) == 0) continue;
    candidate.first_share = ShareIn(model, candidate.constant, rows, first, last);
    if (candidate.first_share < kLeastShare) continue;
    held.push_back(candidate);
  }
  return held;
}

// The bytes of the identifier and the length, added up: a constant seen in many cars.
bool IsIdAndLength(const ChecksumModel& model, std::uint32_t id, std::size_t length) {
  if (model.kind != "sum-8") return false;
  std::uint32_t sum = static_cast<std::uint32_t>(length);
  for (std::uint32_t rest = id; rest != 0; rest >>= 8) sum += rest & 0xFFU;
  return model.constant == (sum & 0xFFU);
}

// What everything but the check, and the halves of bytes that count, takes to describe.
double CostOfRest(const CheckPlace& place, const PayloadRows& rows, const BitCounts& flips) {
  BitSet taken(rows.stride);
  for (const decoders::Piece& piece : LocationOf(place).pieces) {
    taken.AddMask(piece.byte,
                  static_cast<std::uint8_t>(((1U << piece.count) - 1U) << piece.lowest_bit));
  }
  CostWeights weights;
  weights.most_pairs = 2000;
  const std::vector<std::uint32_t> pairs = TellingPairs(rows, taken, flips, weights.most_pairs);
  double cheapest = FieldCosts::kNever;
  for (const ByteOrder order : {ByteOrder::kBig, ByteOrder::kLittle}) {
    const BitLine line(rows.stride, order);
    cheapest = std::min(cheapest, CheapestCut({line, rows, pairs, taken, flips, weights}).cost);
  }
  return cheapest;
}

// Wide checks first (a sum of half bytes may hold beside a sum of bytes). Exclusive or holds for
// every byte of a frame alike: of places that are about as restless as the most restless one, the
// check is the one without which the rest is described best, and of equals the last one.
CheckPlace BestPlace(const std::vector<Held>& held, const PayloadRows& rows,
                     const BitCounts& flips) {
  constexpr double kAboutAsRestless = 0.8;
  constexpr double kEqualBits = 10;
  std::vector<CheckPlace> places;
  double most = 0;
  const bool any_wide = std::any_of(held.begin(), held.end(),
                                    [](const Held& one) { return one.model.place.bits != 4; });
  const auto unrest = [&](const CheckPlace& place) {
    return Unrest(place, flips, rows.size()) / place.bits;
  };
  for (const Held& one : held) {
    if (any_wide && one.model.place.bits == 4) continue;
    if (std::find(places.begin(), places.end(), one.model.place) == places.end()) {
      places.push_back(one.model.place);
    }
    most = std::max(most, unrest(one.model.place));
  }
  std::erase_if(places,
                [&](const CheckPlace& place) { return unrest(place) < kAboutAsRestless * most; });
  CheckPlace best = places.front();
  double cheapest = FieldCosts::kNever;
  for (std::size_t i = 0; places.size() > 1 && i < places.size(); ++i) {
    const double cost = CostOfRest(places[i], rows, flips);
    if (cost > cheapest + kEqualBits) continue;
    cheapest = std::min(cost, cheapest);
    best = places[i];
  }
  return best;
}

FoundChecksum Propose(std::vector<Held> held, const PayloadRows& rows, std::uint32_t id,
                      const BitCounts& flips, bool proved) {
  const CheckPlace place = BestPlace(held, rows, flips);
  std::erase_if(held, [&](const Held& one) { return !(one.model.place == place); });
  std::stable_sort(held.begin(), held.end(),
                   [](const Held& a, const Held& b) { return RankOf(a.model) < RankOf(b.model); });
  FoundChecksum found;
  found.location = LocationOf(place);
  found.first_byte = 0;
  found.last_byte = static_cast<unsigned>(rows.stride) - 1;
  for (const Held& one : held) {
    found.models.push_back(Named(one.model, one.constant, rows.stride));
    found.models.back().id_and_length = IsIdAndLength(found.models.back(), id, rows.stride);
  }
  // Of a sum and an exclusive or that fit alike, the one whose constant needs no chance is
  // likelier.
  std::stable_partition(found.models.begin(), found.models.end(), [](const ChecksumModel& model) {
    return model.id_and_length || (model.constant == 0 && model.polynomial == 0);
  });
  found.share = std::min(held.front().first_share,
                         proved ? held.front().second_share : held.front().first_share);
  found.payloads = held.front().tried;
  found.proved = proved;
  return found;
}

}  // namespace

std::optional<FoundChecksum> FindChecksum(const PayloadRows& rows, std::uint32_t id,
                                          const BitCounts& flips) {
  if (rows.stride < 2) return std::nullopt;
  const std::size_t half = rows.size() / 2;
  std::vector<Held> held = HeldModels(rows, 0, half, flips);
  std::vector<Held> proved;
  for (Held& one : held) {
    one.second_share = ShareIn(one.model, one.constant, rows, half, rows.size());
    if (one.second_share >= kLeastShare) proved.push_back(one);
  }
  if (!proved.empty()) return Propose(std::move(proved), rows, id, flips, true);
  held = HeldModels(rows, 0, rows.size(), flips);
  if (held.empty()) return std::nullopt;
  return Propose(std::move(held), rows, id, flips, false);
}

}  // namespace proofdrive::analysis::survey
