#include "analysis/compare/code_verdicts.h"

#include <algorithm>
#include <map>
#include <set>

#include "analysis/compare/channels.h"
#include "analysis/compare/control_units.h"
#include "analysis/verdicts/verdict.h"

namespace proofdrive::analysis {
namespace {

using decoders::TroubleCode;

void AddCodes(const CodesHeard& heard, const UnitPlace& place, std::set<TroubleCode>& codes) {
  for (const UnitRounds& unit : heard.units) {
    if (unit.channel != place.channel || unit.answer != place.answer) continue;
    for (const CodeRound& round : unit.rounds) {
      for (const auto& [code, state] : round.codes) codes.insert(code);
    }
  }
}

// Codes without a failure type whose number the unit also gives with one: told there.
void DropPlain(std::set<TroubleCode>& codes) {
  std::erase_if(codes, [&](const TroubleCode& code) {
    return !code.failure_type &&
           std::any_of(codes.begin(), codes.end(), [&](const TroubleCode& other) {
             return other.failure_type && other.code == code.code;
           });
  });
}

CodeVerdict VerdictOn(const PairedUnit& unit, const TroubleCode& code, CodeEvidence before,
                      CodeEvidence after) {
  CodeVerdict result;
  result.kind = Judged::Kind::kCode;
  result.code = code;
  result.name = FormatTroubleCode(code);
  result.unit = UnitName(unit.name, unit.answer);
  if (const auto title = decoders::TroubleCodeTitle(code.code)) result.text = title->text;
  if (before.ever_on || after.ever_on) result.severity = decoders::WarningSeverity::kSoon;
  result.verdict = Judge(AsWarning(before), AsWarning(after));
  result.why = CodeReason(result.verdict, before, after);
  result.before = std::move(before);
  result.after = std::move(after);
  return result;
}

}  // namespace

std::vector<CodeVerdict> JudgeCodes(const SessionFindings& before, const SessionFindings& after) {
  std::vector<CodeVerdict> verdicts;
  for (const PairedUnit& unit : PairUnits(before, after)) {
    std::set<TroubleCode> codes;
    AddCodes(before.asked.codes, unit.before, codes);
    AddCodes(after.asked.codes, unit.after, codes);
    DropPlain(codes);
    for (const TroubleCode& code : codes) {
      CodeEvidence old = CodeEvidenceOf(before.asked.codes, unit.before, code, before.start,
                                        before.start + before.length);
      CodeEvidence now = CodeEvidenceOf(after.asked.codes, unit.after, code, after.start,
                                        after.start + after.length);
      const bool seen_set = old.ever_on || now.ever_on;
      if (!seen_set && !(old.Says() && now.Says())) continue;
      verdicts.push_back(VerdictOn(unit, code, std::move(old), std::move(now)));
    }
  }
  return verdicts;
}

}  // namespace proofdrive::analysis
