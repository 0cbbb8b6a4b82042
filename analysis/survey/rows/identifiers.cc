#include "analysis/survey/rows/identifiers.h"

#include <algorithm>
#include <chrono>

namespace proofdrive::analysis::survey {

void TimeSpan::Widen(const std::vector<double>& times) {
  if (times.empty()) return;
  begin = std::min(begin, times.front());
  end = std::max(end, times.back());
}

TimeSpan SpanOf(const std::vector<Identifier>& identifiers) {
  TimeSpan span;
  for (const Identifier& one : identifiers) span.Widen(one.rows.times);
  return span;
}

void IdentifierCollector::Add(const std::string& bus, const Frame& frame) {
  if (frame.Is(kRemote) || frame.Is(kErrorMessage) || frame.Is(kSentHere)) {
    ++left_out_;
    return;
  }
  PayloadRows& rows = rows_[{bus, frame.Is(kExtendedId), frame.id}][frame.length];
  rows.stride = frame.length;
  const std::chrono::duration<double> time = frame.time.time_since_epoch();
  rows.Add(frame.payload(), time.count());
}

void IdentifierCollector::Break() {
  for (auto& [key, lengths] : rows_) {
    for (auto& [length, rows] : lengths) rows.Break();
  }
}

std::vector<Identifier> IdentifierCollector::Take() {
  std::vector<Identifier> identifiers;
  for (auto& [key, lengths] : rows_) {
    Identifier identifier;
    std::tie(identifier.bus, identifier.extended, identifier.id) = key;
    std::uint64_t all = 0;
    PayloadRows* most = nullptr;
    for (auto& [length, rows] : lengths) {
      all += rows.size();
      if (most == nullptr || rows.size() >= most->size()) most = &rows;
    }
    identifier.rows = std::move(*most);
    identifier.other_lengths = all - identifier.rows.size();
    lengths.clear();
    identifiers.push_back(std::move(identifier));
  }
  rows_.clear();
  return identifiers;
}

}  // namespace proofdrive::analysis::survey
