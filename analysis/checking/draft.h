// A check result being written: the check says what it found, the draft keeps the worst of it.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "analysis/checking/check_result.h"
#include "analysis/checking/input.h"
#include "analysis/checking/settings.h"

namespace proofdrive::analysis {

class CheckDraft {
 public:
  // Both must outlive the draft.
  CheckDraft(const CheckInput& input, const CheckSettings& settings)
      : input_(input), settings_(settings) {}

  const CheckInput& input() const { return input_; }
  const CheckSettings& settings() const { return settings_; }

  // A judgement with its sentence. The worst one becomes the status, its sentence the summary.
  void Judge(CheckStatus status, std::string sentence);
  // A fact beside the judgement.
  void Remark(std::string sentence) { result_.findings.push_back(std::move(sentence)); }
  // The same of the cells `first` to `last`, numbers as sent.
  void RemarkOfCells(std::size_t first, std::size_t last, std::string sentence) {
    result_.of_cells.push_back({first, last, sentence});
    Remark(std::move(sentence));
  }
  // What would be needed to tell (more).
  void Missing(std::string what) { result_.missing.push_back(std::move(what)); }
  // What else would look the same.
  void Alike(std::string what) { result_.alike.push_back(std::move(what)); }

  void Add(Figure figure) { result_.figures.push_back(std::move(figure)); }
  void Add(std::string name, double value, std::string unit, std::string detail,
           std::optional<double> uncertainty = std::nullopt) {
    Add(Figure{std::move(name), value, std::move(unit), uncertainty, std::move(detail)});
  }
  void Add(Curve curve) { result_.curves.push_back(std::move(curve)); }
  // The value of a setting, which is listed with the result.
  double Limit(std::string_view setting);
  void Used(std::string what, Intervals intervals) {
    result_.windows.push_back({true, std::move(what), std::move(intervals)});
  }
  void LeftOut(std::string what, Intervals intervals) {
    if (!intervals.empty())
      result_.windows.push_back({false, std::move(what), std::move(intervals)});
  }

  // Nothing judged: "cannot tell", and why.
  CheckResult Take();

 private:
  const CheckInput& input_;
  const CheckSettings& settings_;
  CheckResult result_;
  std::optional<CheckStatus> status_;
};

// A number for sentences: three significant digits at most, no exponent for everyday sizes.
std::string Spoken(double value);
// "12 s", "3 min 24 s", "2 h 06 min".
std::string SpokenSeconds(double seconds);

}  // namespace proofdrive::analysis
