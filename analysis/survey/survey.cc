#include "analysis/survey/survey.h"

#include <algorithm>

namespace proofdrive::analysis::survey {
namespace {

constexpr double kMostVote = 30;   // bits that one identifier may bring in
constexpr double kMostPrior = 15;  // bits that all others together may bring against one

double VoteOf(double evidence) { return std::clamp(evidence, -kMostVote, kMostVote); }

}  // namespace

std::vector<FoundFrame> Survey(const std::vector<Identifier>& identifiers,
                               const CostWeights& weights) {
  std::vector<Draft> drafts;
  double votes = 0;
  for (const Identifier& identifier : identifiers) {
    drafts.push_back(StartSurvey(identifier, weights));
    votes += VoteOf(OrderEvidence(drafts.back()));
  }
  std::vector<FoundFrame> found;
  for (const Draft& draft : drafts) {
    const double own = OrderEvidence(draft);
    const double others = std::clamp((votes - VoteOf(own)) / 4, -kMostPrior, kMostPrior);
    const ByteOrder order = own + others >= 0 ? ByteOrder::kBig : ByteOrder::kLittle;
    for (FoundFrame& frame : FinishSurvey(draft, order)) found.push_back(std::move(frame));
  }
  return found;
}

}  // namespace proofdrive::analysis::survey
