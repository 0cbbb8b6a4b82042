// A condition of the definition files taken apart into terms that must all hold, as far as a person
// can be told them one by one.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "decoders/model/definitions.h"

namespace proofdrive::analysis {

// "coolant_pump == high". A part that is no such comparison is kept whole in `left`, with an empty
// `op`.
struct Term {
  std::string left;
  std::string op;  // ==, !=, <, <=, >, >=
  std::string right;

  // The right side when it is a plain number.
  std::optional<double> Number() const;
  friend bool operator==(const Term&, const Term&) = default;
};

// The terms joined by "and". A condition with "or", "not" or brackets around "and" is one term,
// whole.
std::vector<Term> TermsOf(std::string_view condition);

// True when whoever meets all of `strong` meets all of `weak`.
bool Implies(const std::vector<Term>& strong, const std::vector<Term>& weak);

// "coolant pump is high and vehicle speed is above 5 km/h", with units from the definitions. Terms
// joined by nothing but "or" are told as such: "coolant pump is low or coolant pump is high".
std::string InWords(const std::vector<Term>& terms, const decoders::Definitions& definitions);

}  // namespace proofdrive::analysis
