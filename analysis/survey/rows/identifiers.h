// Sorts the frames of recordings by identifier.
#pragma once

#include <cstdint>
#include <limits>
#include <map>
#include <string>
#include <tuple>
#include <vector>

#include "analysis/survey/rows/payload_rows.h"
#include "core/frame/frame.h"

namespace proofdrive::analysis::survey {

// The frames of one identifier that have the length most of them have.
struct Identifier {
  std::string bus;
  std::uint32_t id = 0;
  bool extended = false;
  PayloadRows rows;
  std::uint64_t other_lengths = 0;  // frames that were left out for their length
  BitSet described;                 // bits that definitions say already; of stride 0: none
};

// From the first to the last of some times, s since the epoch; empty: begin is above end.
struct TimeSpan {
  double begin = std::numeric_limits<double>::infinity();
  double end = -std::numeric_limits<double>::infinity();

  double length() const { return end - begin; }
  // `times` in order.
  void Widen(const std::vector<double>& times);
};
TimeSpan SpanOf(const std::vector<Identifier>& identifiers);

class IdentifierCollector {
 public:
  // Data frames received from the bus only; remote frames, error messages and what was sent here
  // are counted and left out.
  void Add(const std::string& bus, const Frame& frame);
  // What follows is of another recording.
  void Break();
  std::uint64_t left_out() const { return left_out_; }
  // Sorted by bus and identifier. The collector is empty afterwards.
  std::vector<Identifier> Take();

 private:
  using Key = std::tuple<std::string, bool, std::uint32_t>;
  std::map<Key, std::map<std::size_t, PayloadRows>> rows_;  // by length
  std::uint64_t left_out_ = 0;
};

}  // namespace proofdrive::analysis::survey
