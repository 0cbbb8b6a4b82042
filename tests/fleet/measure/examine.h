// One car through the checks.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "analysis/checking/check_result.h"
#include "tests/fleet/car/car.h"

namespace proofdrive::fleet {

struct Answer {
  std::string check;
  analysis::CheckStatus status = analysis::CheckStatus::kCannotTell;
  // Its sentence, or for "cannot tell" what is missing; numbers are written "#".
  std::string why;
  // The recording holds all that it asks for.
  bool given = false;
};

// A figure with a stated uncertainty, whose truth is known.
struct Stated {
  std::string figure;  // "CHECK/FIGURE"
  double value = 0;
  double error = 0;    // value less truth, in its stated uncertainties
  double off = 0;      // value less truth, of the truth
  bool holds() const;  // the truth lies within +-1.96 of it
};

struct Outcome {
  bool all_roles = true;
  std::vector<Answer> answers;
  std::vector<Stated> stated;
  std::size_t values = 0;  // sent
};

Outcome Examine(const Car& car);
// Only what this check reads is sent; only its answer is given.
Answer ExamineFor(Car car, std::string_view check);

}  // namespace proofdrive::fleet
