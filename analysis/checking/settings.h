// The limits and facts the checks go by: one table with defaults, where each comes from, and what
// the user set instead.
#pragma once

#include <map>
#include <optional>
#include <span>
#include <string>
#include <string_view>

#include "analysis/checking/check_result.h"
#include "analysis/physics/cell_curve.h"
#include "analysis/physics/open_curves.h"
#include "core/base/result.h"
#include "decoders/model/definitions.h"

namespace proofdrive::analysis {

struct SettingRow {
  std::string_view name;  // "insulation.warn"
  double value = 0;       // default; 0 of a fact means "not known"
  std::string_view unit;
  Mark mark = Mark::kProposal;
  std::string_view source;
  std::string_view meaning;
};
std::span<const SettingRow> AllSettings();

class CheckSettings {
 public:
  // "insulation.warn=500" or "pack.chemistry=nmc". The message of an error names the nearest one.
  Status Set(std::string_view assignment);
  // What the definition files state, where Set() did not say otherwise.
  void AddFacts(std::span<const decoders::Fact> facts);

  // REQUIRES: `name` is in the table.
  double Get(std::string_view name) const;
  bool IsSet(std::string_view name) const { return set_.contains(std::string(name)); }
  // With its origin, for CheckResult::limits.
  UsedLimit Limit(std::string_view name) const;
  // The curve of the cells that is stated; nullopt when none is.
  const std::optional<OpenCurve>& curve() const { return curve_; }
  // What was stated as pack.curve and is no curve; empty = nothing.
  const std::string& wrong_curve() const { return wrong_curve_; }
  Chemistry chemistry() const { return chemistry_.value_or(Chemistry::kUnknown); }

 private:
  struct Own {
    double value = 0;
    bool from_definitions = false;
  };
  std::map<std::string, Own> set_;
  std::optional<Chemistry> chemistry_;
  std::optional<OpenCurve> curve_;
  std::string wrong_curve_;
};

}  // namespace proofdrive::analysis
