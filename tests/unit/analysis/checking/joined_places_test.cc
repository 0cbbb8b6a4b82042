#include "analysis/checking/joined_places.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

CheckResult With(const std::string& name, std::size_t first, std::size_t last,
                 const std::string& sentence) {
  CheckResult result;
  result.name = name;
  result.findings = {sentence, "something else"};
  result.of_cells = {{first, last, sentence}};
  return result;
}

TEST(JoinPlaces, LeakAndLowCellsAreOneFindingToldOnce) {
  std::vector<CheckResult> results = {With("insulation", 42, 42, "a leak near cell 42"),
                                      With("balance", 41, 44, "cells 41 to 44 are low together")};
  JoinPlaces(results);
  ASSERT_EQ(results[0].joined.size(), 1U);
  EXPECT_EQ(results[0].joined[0],
            "2 findings point to one place, cells 41 to 44: a leak near cell 42; cells 41 to 44 "
            "are low together");
  EXPECT_TRUE(results[1].joined.empty());
  for (const CheckResult& result : results) {
    EXPECT_EQ(result.findings, std::vector<std::string>{"something else"});
  }
}

TEST(JoinPlaces, NeighbouringPlacesAreOneAndFarOnesAreNot) {
  for (const std::size_t leak : {37U, 48U}) {
    std::vector<CheckResult> near = {With("insulation", leak, leak, "leak"),
                                     With("balance", 41, 44, "low")};
    JoinPlaces(near);
    EXPECT_EQ(near[0].joined.size(), 1U) << leak;
  }
  for (const std::size_t leak : {36U, 49U}) {
    std::vector<CheckResult> far = {With("insulation", leak, leak, "leak"),
                                    With("balance", 41, 44, "low")};
    JoinPlaces(far);
    EXPECT_TRUE(far[0].joined.empty()) << leak;
    EXPECT_EQ(far[1].findings.size(), 2U);
  }
}

TEST(JoinPlaces, OneCheckAloneIsNoAgreement) {
  std::vector<CheckResult> results = {With("balance", 41, 44, "low")};
  results[0].findings.push_back("lower");
  results[0].of_cells.push_back({43, 46, "lower"});
  JoinPlaces(results);
  EXPECT_TRUE(results[0].joined.empty());
  EXPECT_EQ(results[0].findings.size(), 3U);
}

}  // namespace
}  // namespace proofdrive::analysis
