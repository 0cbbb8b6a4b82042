#include "analysis/history/history.h"

#include <algorithm>
#include <cmath>

namespace proofdrive::analysis {
namespace {

bool IsOn(HistoryCell cell) { return cell == HistoryCell::kOnAtEnd || cell == HistoryCell::kWasOn; }

bool IsOff(HistoryCell cell) { return cell == HistoryCell::kOff || cell == HistoryCell::kTested; }

void CountReturns(WarningRow& row) {
  bool off_after_on = false, ever_on = false;
  for (const HistoryCell cell : row.cells) {
    if (IsOff(cell)) off_after_on = ever_on;
    if (!IsOn(cell)) continue;
    if (off_after_on) ++row.returns;
    off_after_on = cell == HistoryCell::kWasOn;
    ever_on = true;
  }
}

void CountSince(WarningRow& row) {
  const std::size_t from = row.last_on ? *row.last_on + 1 : 0;
  for (std::size_t i = from; i < row.cells.size(); ++i) {
    if (IsOff(row.cells[i])) ++row.off_since;
    if (row.cells[i] == HistoryCell::kTested) ++row.tested_since;
  }
}

}  // namespace

std::string_view HistoryCellName(HistoryCell cell) {
  switch (cell) {
    case HistoryCell::kNotDefined:
      return "not defined";
    case HistoryCell::kUnknown:
      return "not known";
    case HistoryCell::kOnAtEnd:
      return "on";
    case HistoryCell::kWasOn:
      return "was on";
    case HistoryCell::kTested:
      return "off, tested";
    case HistoryCell::kOff:
      return "off";
  }
  return "";
}

HistoryCell CellOf(const WarningEvidence& evidence) {
  if (!evidence.defined) return HistoryCell::kNotDefined;
  if (!evidence.Says()) return HistoryCell::kUnknown;
  if (evidence.ever_on) {
    return evidence.last_known_on ? HistoryCell::kOnAtEnd : HistoryCell::kWasOn;
  }
  return evidence.proven ? HistoryCell::kTested : HistoryCell::kOff;
}

bool WarningRow::OnNow() const {
  for (auto cell = cells.rbegin(); cell != cells.rend(); ++cell) {
    if (IsOn(*cell)) return true;
    if (IsOff(*cell)) return false;
  }
  return false;
}

bool WarningRow::Unproven() const {
  if (OnNow()) return false;
  const bool silent_now = !cells.empty() && !IsOff(cells.back()) && !IsOn(cells.back());
  return silent_now || (last_on && tested_since == 0);
}

bool History::NothingDescribed() const {
  return !sessions.empty() &&
         std::all_of(sessions.begin(), sessions.end(),
                     [](const HistorySession& one) { return one.coverage.Nothing(); });
}

bool History::AnyOn() const {
  return std::any_of(warnings.begin(), warnings.end(),
                     [](const WarningRow& row) { return row.OnNow(); });
}

bool History::AnyUnproven() const {
  return std::any_of(warnings.begin(), warnings.end(),
                     [](const WarningRow& row) { return row.Unproven(); });
}

namespace {

CommonFooting CommonOf(const std::vector<WarningRow>& warnings) {
  CommonFooting common;
  for (const WarningRow& row : warnings) {
    if (row.known > 0) common.Add(row.stands_on);
  }
  return common;
}

void AddProvisos(std::vector<WarningRow>& warnings) {
  if (CommonOf(warnings).IsAllGuesses()) return;
  for (WarningRow& row : warnings) {
    if (row.known > 0) row.proviso = ProvisoOf(row.stands_on);
  }
}

}  // namespace

std::string History::AllGuessesSentence() const {
  return CommonOf(warnings).Sentence("definitions", "warnings");
}

void HistoryBuilder::Add(const std::string& path, const SessionFindings& findings) {
  history_.sessions.push_back({path, findings.header, findings.start, findings.length,
                               findings.frames, findings.damaged, CoverageOf(findings)});
  std::vector<WarningEvidence>& evidence = evidence_.emplace_back();
  if (findings.definitions == nullptr) return;
  for (std::size_t i = 0; i < findings.warnings.size(); ++i) {
    evidence.push_back(EvidenceOf(findings, i));
    if (history_.warnings.size() > i) continue;
    WarningRow row;
    const decoders::Warning& warning = findings.definitions->warnings[i];
    row.name = warning.name;
    row.text = warning.text;
    row.severity = warning.severity;
    row.stands_on = FootingOf(*findings.definitions, warning);
    history_.warnings.push_back(std::move(row));
  }
}

History HistoryBuilder::Finish() {
  for (std::size_t w = 0; w < history_.warnings.size(); ++w) {
    WarningRow& row = history_.warnings[w];
    for (std::size_t s = 0; s < evidence_.size(); ++s) {
      const bool there = w < evidence_[s].size();
      const WarningEvidence one = there ? evidence_[s][w] : NotDefined();
      row.cells.push_back(CellOf(one));
      if (one.Says()) ++row.known;
      if (!IsOn(row.cells.back())) continue;
      ++row.on;
      const WallTime start = history_.sessions[s].start;
      if (!row.first_on) {
        row.first_on = s;
        if (one.first_set) row.first_set = start + *one.first_set;
      }
      row.last_on = s;
      if (one.last_set) row.last_set = start + *one.last_set;
    }
    CountReturns(row);
    CountSince(row);
  }
  AddProvisos(history_.warnings);
  return std::move(history_);
}

double RecurrenceBound(std::size_t tested) {
  if (tested == 0) return 1;
  return 1 - std::pow(0.05, 1.0 / static_cast<double>(tested));
}

}  // namespace proofdrive::analysis
