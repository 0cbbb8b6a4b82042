// What changed in control units and definitions, the same in text and in reports. Not escaped.
#pragma once

#include <string>
#include <vector>

#include "analysis/compare/comparison.h"

namespace proofdrive::output {

struct UnitLine {
  std::string unit;
  std::string item;  // "F195 systemSupplierECUSoftwareVersionNumber"
  std::string before;
  std::string after;
};
// Everything installed that differs, or that one session alone tells.
std::vector<UnitLine> UnitLines(const analysis::Comparison& comparison);
// A sentence or two: what units told in both sessions, and what cannot be compared.
std::string UnitLead(const analysis::Comparison& comparison);

struct DefinitionLine {
  std::string what;  // frame, and its signal if it is about one
  std::string problem;
  std::string before;
  std::string after;
  std::string likely;  // where a frame that is gone may be now; may be empty
};
std::vector<DefinitionLine> DefinitionLines(const analysis::Comparison& comparison);

}  // namespace proofdrive::output
