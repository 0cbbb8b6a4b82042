// Every check in every session of a vehicle, and where its figures are heading.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <vector>

#include "analysis/checking/check_result.h"
#include "analysis/physics/standby.h"
#include "core/base/result.h"
#include "core/base/time.h"

namespace proofdrive::analysis {

// The answers of one check, one per session.
struct CheckAnswers {
  std::string name;
  std::string title;
  std::vector<CheckStatus> answers;
  // Why, in the latest session that could tell, and which that was (from 0); empty = none could.
  std::string latest;
  std::size_t latest_session = 0;
};

// Theil-Sen and Mann-Kendall over sessions, in days.
struct FigureTrend {
  std::size_t sessions = 0;
  double days = 0;  // from the first to the last of them
  // Slope and its 95 % band per day: of log10 of the figure when `of_log`, else of the figure.
  double per_day = 0, low = 0, high = 0;
  double intercept = 0;  // on the day of the first session; median of what the slope leaves
  double p = 1;          // Mann-Kendall; exact for few sessions without equal values
  bool of_log = false;
  // A p below this counts: 0.05 for insulation, where a missed fall is worse than a false one, 0.01
  // for the rest, because a dozen figures are looked at together.
  double most_p = 0.05;
  bool Clear() const { return p < most_p; }
  // Change per day in percent; only with `of_log`.
  double PercentPerDay() const;
};

// At least this many sessions with the figure give a trend: with four, no order of the values is
// rarer than 1 in 12.
inline constexpr std::size_t kFewestForTrend = 5;

// When a falling figure reaches a limit at its slope: day from the first session, and the band.
struct Crossing {
  std::string limit;                         // "insulation.warn"
  double value = 0;                          // in the unit of the figure
  double day = 0, earliest = 0, latest = 0;  // infinity = never at that slope
};

// One figure that tells most about its check, over all sessions.
struct FigureRow {
  std::string check;
  std::string name;  // of the figure
  std::string unit;
  std::string meaning;                        // "insulation resistance"
  std::vector<std::optional<Figure>> values;  // one per session
  std::string proviso;                        // of the latest answer of its check
  std::optional<FigureTrend> trend;
  std::vector<Crossing> crossings;
  // Largest difference of cell temperature between the sessions with the figure, K; 0 = not known
  // or of no influence.
  double temperature_span_k = 0;
};

// Charge lost between sessions.
struct StandbyHistory {
  std::vector<Pause> pauses;
  double per_day = 0;      // %
  double uncertainty = 0;  // one standard deviation
  double watt = 0;         // 0 = pack.usable_energy is not known
  double hours = 0;
};

struct CheckHistory {
  std::string all_guesses;           // of the latest session; see AllGuessesSentence
  std::vector<CheckAnswers> checks;  // empty = no check could tell anything in any session
  std::vector<FigureRow> figures;    // those that at least one session has
  std::optional<StandbyHistory> standby;
};

// One session with what its checks said. Without results: nothing could be decoded.
struct CheckedSession {
  WallTime start;
  Duration length{0};
  std::vector<CheckResult> results;
};

// Sessions in order of time, all checked with the same settings. Pauses shorter than
// `standby_hours` give no loss; `usable_kwh` 0 = not known.
CheckHistory CheckHistoryOf(std::span<const CheckedSession> sessions, double standby_hours,
                            double usable_kwh);

// nullopt with fewer than kFewestForTrend values, or when all are of one time.
std::optional<FigureTrend> TrendOver(std::span<const double> days, std::span<const double> values,
                                     bool of_log, double most_p = 0.05);

// Where the line of `trend` comes down to `limit`, which may be past; nullopt when it does not
// fall. The band turns the line about its value on the day of the first session.
std::optional<Crossing> CrossingOf(const FigureTrend& trend, double limit);

}  // namespace proofdrive::analysis
