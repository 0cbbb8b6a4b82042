// How well a survey met the truth. Bits that never changed cannot be known and do not count.
#pragma once

#include <string>
#include <vector>

#include "tests/survey/truth.h"

namespace proofdrive::survey_tests {

// Pages of one frame count as one frame together.
struct Score {
  double true_fields = 0;  // with a bit that changed
  double proposed = 0;
  double exact = 0;
  double overlap = 0;                      // sum over true fields of the best Jaccard index
  double multi_byte = 0, order_right = 0;  // of exact ones
  double is_signed = 0, sign_found = 0;    // of exact ones that are signed
  double called_signed_wrongly = 0;        // of exact ones
  int checksums = 0, checksums_right = 0, checksums_false = 0;
  int counters = 0, counters_right = 0, counters_false = 0;
  int selectors = 0, selectors_right = 0, selectors_false = 0;
  std::vector<std::string> misses;  // in words, for those who work on the survey

  double Precision() const { return proposed > 0 ? exact / proposed : 0; }
  double Recall() const { return true_fields > 0 ? exact / true_fields : 0; }
  double F1() const;
  double MeanJaccard() const { return true_fields > 0 ? overlap / true_fields : 0; }
  void Add(const Score& other);
};

Score ScoreOf(const Recording& recording, const std::vector<analysis::survey::FoundFrame>& found);

}  // namespace proofdrive::survey_tests
