// What one session shows about one trouble code of one control unit.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "analysis/asking/code_rounds.h"
#include "analysis/verdicts/evidence.h"

namespace proofdrive::analysis {

// Whether the unit's own test of the fault has run, and how it ended.
enum class CodeTest {
  kPassed,               // completed since codes were cleared and in this cycle, failed in neither
  kNotSinceClear,        // status bit 4
  kNotThisCycle,         // bit 6: passed earlier
  kFailedSinceClear,     // bit 5: passed its last test, failed earlier
  kNotSaid,              // the unit does not support the status bits that would say it
  kNotListed,            // the code is in no list, which leaves out what nobody has tested, too
  kMonitorsNotComplete,  // SAE J1979 alone, and not everything the unit watches has been tested
  kUnknown,              // nothing is known about the code
};

struct CodeEvidence {
  // Times are session time.
  bool ever_on = false;
  bool ever_off = false;       // known and not set
  bool set_after_off = false;  // off, and later on
  bool on_off_on = false;      // on, later off, later on again
  bool last_known_on = false;
  bool known_at_end = false;
  CodeTest test = CodeTest::kUnknown;  // as last told

  std::uint32_t rounds = 0;       // in which the unit told whether it is set; equal ones once
  std::uint32_t times_set = 0;    // from off to on, or on when first told
  std::optional<CodeState> last;  // nullopt: it was in no list at last
  std::optional<std::uint8_t> available;  // status bits the unit supports
  std::optional<Duration> last_told;      // when the unit told about it for the last time
  std::optional<Duration> first_set;
  std::optional<Duration> last_set;  // of the last time it went from off to on
  std::optional<Duration> last_off;
  std::vector<Duration> cleared;  // when the unit said that it cleared its codes

  std::string
      why_unknown;  // a phrase: "nobody asked it for its codes"; empty when known at the end

  bool Says() const { return ever_on || ever_off; }
};

// Where a unit is found in one session.
struct UnitPlace {
  std::uint8_t channel = 0;
  decoders::BusAddress answer;
  std::optional<decoders::BusAddress> request;
};

// `start`: time of the first frame, `end`: of the last one.
CodeEvidence CodeEvidenceOf(const CodesHeard& heard, const UnitPlace& unit,
                            const decoders::TroubleCode& code, WallTime start, WallTime end);

// What a verdict asks for, of a code (see Judge): "proven" is a test that passed.
WarningEvidence AsWarning(const CodeEvidence& evidence);

}  // namespace proofdrive::analysis
