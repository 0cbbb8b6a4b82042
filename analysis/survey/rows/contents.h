// What an identifier ever said, content by content, without knowing what it means.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "analysis/survey/rows/found.h"
#include "analysis/survey/rows/identifiers.h"

namespace proofdrive::analysis::survey {

using Payload = std::vector<std::uint8_t>;

struct Content {
  Payload payload;
  Payload before;      // of the frame before its first appearance; empty: it was the first
  double first_s = 0;  // since the first frame of this identifier
  std::uint64_t frames = 0;
  std::uint64_t times = 0;  // how often it came anew
  double lasted_s = 0;      // in all
};

struct Contents {
  std::vector<Content> list;     // in the order of first appearance
  std::uint64_t not_listed = 0;  // frames with further contents
};

// The rows with counter and check set to 0: every frame would differ for their sake.
PayloadRows WithoutProtection(const PayloadRows& rows, const FoundFrame& found);

// At most `most` different contents are told apart.
Contents ContentsOf(const PayloadRows& rows, std::size_t most);

// What was said around a mark: two seconds before it, for marks come late, and just after it.
struct AroundMark {
  std::string text;  // of the mark
  double at_s = 0;   // since the first frame of this identifier
  Payload before;    // empty: there is none
  Payload after;
};

struct Mark {
  std::string text;
  double time = 0;  // s, as in PayloadRows
};

// Marks of the same text one after the other.
std::vector<AroundMark> AroundMarks(const PayloadRows& rows, const std::vector<Mark>& marks);

}  // namespace proofdrive::analysis::survey
