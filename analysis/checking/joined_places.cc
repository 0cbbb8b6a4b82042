#include "analysis/checking/joined_places.h"

#include <algorithm>
#include <string>

#include "core/base/text.h"

namespace proofdrive::analysis {
namespace {

struct Evidence {
  CheckResult* check;
  CellFinding finding;
};

bool SamePlace(const CellFinding& a, const CellFinding& b) {
  return a.first <= b.last + kSamePlace && b.first <= a.last + kSamePlace;
}

std::string CellsText(const CellFinding& widest) {
  const std::string first = std::to_string(widest.first);
  return widest.first == widest.last ? "cell " + first
                                     : "cells " + first + " to " + std::to_string(widest.last);
}

// The narrow place is where the wide one is, more or less: the wide one is named.
const CellFinding& Widest(const std::vector<Evidence>& place) {
  return std::max_element(place.begin(), place.end(),
                          [](const Evidence& a, const Evidence& b) {
                            return a.finding.last - a.finding.first <
                                   b.finding.last - b.finding.first;
                          })
      ->finding;
}

void Join(const std::vector<Evidence>& place) {
  std::vector<std::string> sentences;
  for (const Evidence& one : place) {
    sentences.push_back(one.finding.sentence);
    std::erase(one.check->findings, one.finding.sentence);
  }
  place.front().check->joined.push_back(CountOf(place.size(), "finding") + " point to one place, " +
                                        CellsText(Widest(place)) + ": " +
                                        proofdrive::Join(sentences, "; "));
}

bool OfSeveralChecks(const std::vector<Evidence>& place) {
  return std::any_of(place.begin(), place.end(),
                     [&](const Evidence& one) { return one.check != place.front().check; });
}

}  // namespace

void JoinPlaces(std::vector<CheckResult>& results) {
  std::vector<Evidence> all;
  for (CheckResult& result : results) {
    for (const CellFinding& finding : result.of_cells) all.push_back({&result, finding});
  }
  std::vector<bool> used(all.size(), false);
  for (std::size_t i = 0; i < all.size(); ++i) {
    if (used[i]) continue;
    std::vector<Evidence> place = {all[i]};
    std::vector<std::size_t> members;
    for (std::size_t k = i + 1; k < all.size(); ++k) {
      if (used[k] || !SamePlace(all[i].finding, all[k].finding)) continue;
      place.push_back(all[k]);
      members.push_back(k);
    }
    if (!OfSeveralChecks(place)) continue;
    for (const std::size_t member : members) used[member] = true;
    Join(place);
  }
}

}  // namespace proofdrive::analysis
