// Every warning in every session of a vehicle: when it was on, when it was put to the test, and
// what that says about its coming back.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "analysis/findings/coverage.h"
#include "analysis/findings/session_findings.h"
#include "analysis/standing/footing.h"
#include "analysis/verdicts/evidence.h"

namespace proofdrive::analysis {

// What one session says about one warning.
enum class HistoryCell {
  kNotDefined,  // the definitions do not have it
  kUnknown,     // never known in that session
  kOnAtEnd,     // on when last known
  kWasOn,       // on at some time, off when last known
  kTested,      // off throughout, and `proven by` was met
  kOff,         // off whenever known, not put to the test
};
// "not defined", "not known", "on", "was on", "off, tested", "off".
std::string_view HistoryCellName(HistoryCell cell);
HistoryCell CellOf(const WarningEvidence& evidence);

// One session, without what only a comparison needs.
struct HistorySession {
  std::string path;
  session::Header header;
  WallTime start;
  Duration length{0};
  std::uint64_t frames = 0;
  bool damaged = false;
  Coverage coverage = {};
};

struct WarningRow {
  std::string name;
  std::string text;
  decoders::WarningSeverity severity = decoders::WarningSeverity::kNote;
  std::vector<Footing> stands_on;
  std::string proviso;                  // what is added to anything said of it
  std::vector<HistoryCell> cells;       // one per session
  std::optional<std::size_t> first_on;  // index of the first and last session it was on in
  std::optional<std::size_t> last_on;
  std::optional<WallTime> first_set;  // in the session first_on
  std::optional<WallTime> last_set;   // the last time, in the session last_on
  std::size_t known = 0;              // sessions in which it was known
  std::size_t on = 0;                 // of them: in which it was on
  std::size_t returns = 0;            // times it was off in a session and on in a later one
  // Sessions after last_on: in which it was off, and in which it was off and put to the test.
  std::size_t off_since = 0;
  std::size_t tested_since = 0;

  bool OnNow() const;  // on, or was on, in the last session that knows it
  // It was on once, is off now, and no session since put it to the test.
  bool Unproven() const;
};

struct History {
  std::vector<HistorySession> sessions;  // in order of time
  std::vector<WarningRow> warnings;      // in the order of the definitions

  // The definitions describe nothing of any session.
  bool NothingDescribed() const;
  bool AnyOn() const;
  bool AnyUnproven() const;
  // "All 14 definitions these warnings use are guesses: ..."; empty when that is not so.
  std::string AllGuessesSentence() const;
};

// Takes sessions in order of time, all judged by the same definitions. Keeps little of each, so
// that a hundred of them need not be in memory.
class HistoryBuilder {
 public:
  void Add(const std::string& path, const SessionFindings& findings);
  History Finish();

 private:
  History history_;
  std::vector<std::vector<WarningEvidence>> evidence_;  // per session, per warning
};

// The 95 % upper bound on the chance that the warning comes on in one session of the same kind,
// when it stayed off in `tested` independent ones that put it to the test: 1 - 0.05^(1/n). 1 for n
// = 0. (Exact binomial bound for no occurrence in n trials; "rule of three" for large n.)
double RecurrenceBound(std::size_t tested);

}  // namespace proofdrive::analysis
