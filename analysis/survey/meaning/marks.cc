#include "analysis/survey/meaning/marks.h"

#include <algorithm>
#include <cmath>

namespace proofdrive::analysis::survey {
namespace {

constexpr std::size_t kShifts = 199;
constexpr double kAccept = 0.05;
constexpr double kShortest = 15;  // s
constexpr std::size_t kMostWindows = 4000;

// When one bit changed, in order.
struct Candidate {
  BitAtMarks bit;
  std::vector<double> times;
};

BitSet TakenOf(const Identifier& identifier, const std::vector<FoundFrame>& found) {
  BitSet taken(identifier.rows.stride);
  const auto take = [&](const decoders::Location& location) {
    for (const decoders::Piece& piece : location.pieces) {
      taken.AddMask(piece.byte,
                    static_cast<std::uint8_t>(((1U << piece.count) - 1U) << piece.lowest_bit));
    }
  };
  for (const FoundFrame& frame : found) {
    if (frame.bus != identifier.bus || frame.id != identifier.id || frame.page ||
        frame.extended != identifier.extended) {
      continue;
    }
    if (frame.counter) take(frame.counter->location);
    if (frame.checksum) take(frame.checksum->location);
    if (frame.selector) take(*frame.selector);
  }
  return taken;
}

// Every bit in three ways. A frame with pages changes with every page: compared with the last frame
// of the same page it would take more, so its bits are told as they come.
void AddCandidates(const Identifier& identifier, const BitSet& taken,
                   std::vector<Candidate>& candidates) {
  const PayloadRows& rows = identifier.rows;
  const BitSet changed = ChangedBits(rows);
  const std::vector<std::uint32_t> pairs = Pairs(rows);
  for (std::size_t byte = 0; byte < rows.stride; ++byte) {
    for (unsigned bit = 0; bit < 8; ++bit) {
      if (!changed.Has(byte, bit) || taken.Has(byte, bit)) continue;
      Candidate ways[3];
      for (const std::uint32_t pair : pairs) {
        const unsigned from = (rows.row(pair)[byte] >> bit) & 1U;
        const unsigned to = (rows.row(pair + 1)[byte] >> bit) & 1U;
        if (from == to) continue;
        ways[0].times.push_back(rows.times[pair + 1]);
        ways[to == 1 ? 1 : 2].times.push_back(rows.times[pair + 1]);
      }
      for (int way = 0; way < 3; ++way) {
        if (ways[way].times.empty()) continue;
        ways[way].bit.bus = identifier.bus;
        ways[way].bit.id = identifier.id;
        ways[way].bit.extended = identifier.extended;
        ways[way].bit.byte = static_cast<std::uint8_t>(byte);
        ways[way].bit.bit = static_cast<std::uint8_t>(bit);
        ways[way].bit.direction = static_cast<Direction>(way);
        ways[way].bit.changes = ways[way].times.size();
        candidates.push_back(std::move(ways[way]));
      }
    }
  }
}

bool HasChange(const std::vector<double>& times, double mark) {
  const auto first = std::lower_bound(times.begin(), times.end(), mark - kBeforeMark);
  return first != times.end() && *first <= mark + kAfterMark;
}

// Share of all windows that have a change; at least that of one, however rare it is.
double ShareOfWindows(const std::vector<double>& times, const TimeSpan& span) {
  const double window = kBeforeMark + kAfterMark;
  const auto windows = std::clamp<std::size_t>(static_cast<std::size_t>(4 * span.length() / window),
                                               1, kMostWindows);
  std::size_t with = 0;
  for (std::size_t i = 0; i < windows; ++i) {
    const double mark =
        span.begin + kBeforeMark +
        (span.length() - window) * static_cast<double>(i) / static_cast<double>(windows);
    with += HasChange(times, mark) ? 1U : 0U;
  }
  const double least = std::min(1.0, window / std::max(window, span.length()));
  return std::clamp(static_cast<double>(with) / static_cast<double>(windows), least, 1.0);
}

// Logarithm of the chance of at least `hits` out of `n`.
double LogTail(std::size_t hits, std::size_t n, double share) {
  if (hits == 0) return 0;
  double sum = 0;
  for (std::size_t k = hits; k <= n; ++k) {
    const double log_ways = std::lgamma(static_cast<double>(n) + 1) -
                            std::lgamma(static_cast<double>(k) + 1) -
                            std::lgamma(static_cast<double>(n - k) + 1);
    const double log_misses =
        k == n ? 0 : static_cast<double>(n - k) * std::log1p(-std::min(share, 1 - 1e-12));
    sum += std::exp(log_ways + static_cast<double>(k) * std::log(share) + log_misses);
  }
  return std::log(std::max(sum, 1e-300));
}

std::size_t HitsOf(const std::vector<double>& times, const std::vector<double>& marks) {
  std::size_t hits = 0;
  for (const double mark : marks) hits += HasChange(times, mark) ? 1U : 0U;
  return hits;
}

std::vector<double> Shifted(const std::vector<double>& marks, const TimeSpan& span, double by) {
  std::vector<double> shifted;
  for (const double mark : marks) {
    shifted.push_back(span.begin + std::fmod(mark - span.begin + by, span.length()));
  }
  return shifted;
}

// The best logarithm that any bit reaches when the marks are shifted.
std::vector<double> BestOfShifts(const std::vector<Candidate>& candidates,
                                 const std::vector<double>& marks, const TimeSpan& span) {
  std::vector<double> best(kShifts, 0);
  for (std::size_t k = 0; k < kShifts; ++k) {
    // Not so little that the same changes are met again.
    const double window = kBeforeMark + kAfterMark;
    const double by = window + (span.length() - 2 * window) * static_cast<double>(k) / kShifts;
    const std::vector<double> shifted = Shifted(marks, span, by);
    for (const Candidate& one : candidates) {
      const std::size_t hits = HitsOf(one.times, shifted);
      if (hits == 0) continue;
      best[k] = std::min(best[k], LogTail(hits, marks.size(), one.bit.share_else));
    }
  }
  return best;
}

// One way of each bit: the best.
void KeepBestWay(std::vector<BitAtMarks>& bits) {
  std::vector<BitAtMarks> kept;
  for (const BitAtMarks& bit : bits) {
    const bool known = std::any_of(kept.begin(), kept.end(), [&](const BitAtMarks& other) {
      return other.bus == bit.bus && other.id == bit.id && other.extended == bit.extended &&
             other.byte == bit.byte && other.bit == bit.bit;
    });
    if (!known) kept.push_back(bit);
  }
  bits = std::move(kept);
}

}  // namespace

MarkAnswer FollowMarks(const std::vector<double>& marks, const std::vector<Identifier>& identifiers,
                       const std::vector<FoundFrame>& found, std::size_t most) {
  MarkAnswer answer;
  const TimeSpan span = SpanOf(identifiers);
  std::vector<double> inside;
  for (const double mark : marks) {
    if (mark >= span.begin && mark <= span.end + kBeforeMark) inside.push_back(mark);
  }
  answer.marks = inside.size();
  if (inside.empty()) {
    answer.notice = "no mark is within the recording";
    return answer;
  }
  if (span.length() < kShortest) {
    answer.notice = "too little: the recording lasts less than 15 s";
    return answer;
  }
  std::vector<Candidate> candidates;
  for (const Identifier& one : identifiers) AddCandidates(one, TakenOf(one, found), candidates);
  for (Candidate& one : candidates) one.bit.share_else = ShareOfWindows(one.times, span);
  const std::vector<double> best = BestOfShifts(candidates, inside, span);
  for (Candidate& one : candidates) {
    one.bit.hits = HitsOf(one.times, inside);
    if (one.bit.hits == 0) continue;
    const double log_chance = LogTail(one.bit.hits, inside.size(), one.bit.share_else);
    one.bit.chance = std::exp(log_chance);
    std::size_t as_good = 0;
    for (const double other : best) as_good += other <= log_chance + 1e-9 ? 1U : 0U;
    one.bit.p = static_cast<double>(as_good + 1) / (kShifts + 1);
    one.bit.accepted = inside.size() >= kLeastMarks && one.bit.p <= kAccept;
    answer.bits.push_back(one.bit);
  }
  std::stable_sort(answer.bits.begin(), answer.bits.end(),
                   [](const BitAtMarks& a, const BitAtMarks& b) {
                     return a.chance != b.chance ? a.chance < b.chance : a.changes < b.changes;
                   });
  KeepBestWay(answer.bits);
  if (answer.bits.size() > most) answer.bits.resize(most);
  if (inside.size() < kLeastMarks) {
    answer.notice = "not proven: " + std::to_string(inside.size()) +
                    (inside.size() == 1 ? " mark" : " marks") +
                    " prove nothing; do it five times, 5 s apart, with a mark each time";
  }
  return answer;
}

}  // namespace proofdrive::analysis::survey
