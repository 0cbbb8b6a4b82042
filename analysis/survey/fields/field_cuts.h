// The cheapest way to cut a payload into fields, among all of them at once: the shortest path over
// the borders between bits (Bellman 1957).
#pragma once

#include <optional>
#include <vector>

#include "analysis/survey/fields/field_costs.h"

namespace proofdrive::analysis::survey {

struct CutField {
  Run run;
  double cost = 0;
  // The cheapest cut in which these bits are not exactly this field: a field of it that shares bits
  // with this one, and how much more the whole costs.
  std::optional<Run> rival;
  double ahead = 0;
};

struct Cut {
  ByteOrder order = ByteOrder::kBig;
  double cost = 0;
  std::vector<CutField> fields;  // along the line
};

Cut CheapestCut(const FieldCosts& costs);
// What these fields cost with other payloads.
double CostOf(const FieldCosts& costs, const std::vector<CutField>& fields);

}  // namespace proofdrive::analysis::survey
