#include "analysis/survey/fields/field_cuts.h"

#include <algorithm>

namespace proofdrive::analysis::survey {
namespace {

// Cheapest cost of everything before, or from, a border.
struct Paths {
  std::vector<double> before;
  std::vector<std::size_t> width;  // of the field that ends there; 0: a bit outside of fields
  std::vector<double> from;
};

Paths FindPaths(const FieldCosts& costs) {
  const std::size_t size = costs.line().size();
  Paths paths{std::vector<double>(size + 1, FieldCosts::kNever), std::vector<std::size_t>(size + 1),
              std::vector<double>(size + 1, FieldCosts::kNever)};
  paths.before[0] = 0;
  for (std::size_t end = 1; end <= size; ++end) {
    if (costs.MaySkip(end - 1)) paths.before[end] = paths.before[end - 1];
    for (std::size_t width = 1; width <= std::min(kWidestField, end); ++width) {
      const double cost = paths.before[end - width] + costs.Of(end - width, width);
      if (cost >= paths.before[end]) continue;
      paths.before[end] = cost;
      paths.width[end] = width;
    }
  }
  paths.from[size] = 0;
  for (std::size_t first = size; first-- > 0;) {
    if (costs.MaySkip(first)) paths.from[first] = paths.from[first + 1];
    for (std::size_t width = 1; width <= std::min(kWidestField, size - first); ++width) {
      paths.from[first] =
          std::min(paths.from[first], costs.Of(first, width) + paths.from[first + width]);
    }
  }
  return paths;
}

void FindRival(const FieldCosts& costs, const Paths& paths, double best, CutField& field) {
  const std::size_t size = costs.line().size();
  double cheapest = FieldCosts::kNever;
  const std::size_t begin =
      field.run.first >= kWidestField ? field.run.first - kWidestField + 1 : 0;
  for (std::size_t first = begin; first < field.run.end(); ++first) {
    for (std::size_t width = 1; width <= std::min(kWidestField, size - first); ++width) {
      const Run run{first, width};
      if (run.end() <= field.run.first || run == field.run) continue;
      const double cost = paths.before[first] + costs.Of(first, width) + paths.from[run.end()];
      if (cost >= cheapest) continue;
      cheapest = cost;
      field.rival = run;
    }
  }
  field.ahead = field.rival ? cheapest - best : 0;
  if (cheapest >= FieldCosts::kNever / 2) field.rival.reset(), field.ahead = 0;
}

}  // namespace

Cut CheapestCut(const FieldCosts& costs) {
  const Paths paths = FindPaths(costs);
  Cut cut;
  cut.order = costs.line().order();
  cut.cost = paths.before.back();
  for (std::size_t end = costs.line().size(); end > 0;) {
    const std::size_t width = paths.width[end];
    if (width == 0) {
      --end;
      continue;
    }
    CutField field;
    field.run = {end - width, width};
    field.cost = costs.Of(field.run.first, width);
    FindRival(costs, paths, cut.cost, field);
    cut.fields.push_back(field);
    end -= width;
  }
  std::reverse(cut.fields.begin(), cut.fields.end());
  return cut;
}

double CostOf(const FieldCosts& costs, const std::vector<CutField>& fields) {
  double cost = 0;
  for (const CutField& field : fields) cost += costs.Of(field.run.first, field.run.width);
  return cost;
}

}  // namespace proofdrive::analysis::survey
