#include "analysis/survey/rows/contents.h"

#include <algorithm>
#include <map>

namespace proofdrive::analysis::survey {
namespace {

constexpr double kBefore = 2;  // s

Payload Copy(ByteSpan bytes) { return {bytes.begin(), bytes.end()}; }

}  // namespace

PayloadRows WithoutProtection(const PayloadRows& rows, const FoundFrame& found) {
  PayloadRows plain = rows;
  const auto clear = [&](const decoders::Location& location) {
    for (const decoders::Piece& piece : location.pieces) {
      const unsigned mask = ((1U << piece.count) - 1U) << piece.lowest_bit;
      for (std::size_t at = piece.byte; at < plain.bytes.size(); at += plain.stride) {
        plain.bytes[at] = static_cast<std::uint8_t>(plain.bytes[at] & ~mask);
      }
    }
  };
  if (found.counter) clear(found.counter->location);
  if (found.checksum) clear(found.checksum->location);
  return plain;
}

Contents ContentsOf(const PayloadRows& rows, std::size_t most) {
  Contents contents;
  std::map<Payload, std::size_t> known;
  for (std::size_t row = 0; row < rows.size(); ++row) {
    const Payload payload = Copy(rows.row(row));
    const bool starts = std::binary_search(rows.starts.begin(), rows.starts.end(), row);
    const auto found = known.find(payload);
    if (found == known.end() && known.size() >= most) {
      ++contents.not_listed;
      continue;
    }
    if (found == known.end()) {
      known[payload] = contents.list.size();
      Content content;
      content.payload = payload;
      if (row > 0 && !starts) content.before = Copy(rows.row(row - 1));
      content.first_s = rows.times[row] - rows.times.front();
      contents.list.push_back(std::move(content));
    }
    Content& content = contents.list[known[payload]];
    ++content.frames;
    if (row == 0 || starts || Copy(rows.row(row - 1)) != payload) ++content.times;
    const bool followed = row + 1 < rows.size() &&
                          !std::binary_search(rows.starts.begin(), rows.starts.end(), row + 1);
    if (followed) content.lasted_s += std::max(0.0, rows.times[row + 1] - rows.times[row]);
  }
  return contents;
}

std::vector<AroundMark> AroundMarks(const PayloadRows& rows, const std::vector<Mark>& marks) {
  std::vector<AroundMark> around;
  if (rows.size() == 0) return around;
  for (const Mark& mark : marks) {
    AroundMark one;
    one.text = mark.text;
    one.at_s = mark.time - rows.times.front();
    const auto before = std::upper_bound(rows.times.begin(), rows.times.end(), mark.time - kBefore);
    const auto after = std::lower_bound(rows.times.begin(), rows.times.end(), mark.time);
    if (before != rows.times.begin()) {
      one.before = Copy(rows.row(static_cast<std::size_t>(before - rows.times.begin()) - 1));
    }
    if (after != rows.times.end()) {
      one.after = Copy(rows.row(static_cast<std::size_t>(after - rows.times.begin())));
    }
    around.push_back(std::move(one));
  }
  std::stable_sort(around.begin(), around.end(),
                   [](const AroundMark& a, const AroundMark& b) { return a.text < b.text; });
  return around;
}

}  // namespace proofdrive::analysis::survey
