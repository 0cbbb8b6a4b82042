// The history of a vehicle's warnings as text for people.
#pragma once

#include <string>

#include "analysis/history/check_history.h"
#include "analysis/history/history.h"

namespace proofdrive::output {

// "2 of 14 warnings are on in the latest session that knows them, 3 were on once and ..."
std::string HistoryHeadline(const analysis::History& history);

// Headline, the sessions, warnings x sessions, what each says, cautions; at most kPageWidth wide
// for up to a dozen sessions.
// `checks`: may be without any.
std::string FormatHistory(const analysis::History& history, const analysis::CheckHistory& checks);

// "never on" / "on since session 1" / "off in 5 sessions since, put to the test in 3 of them: ...".
std::string RecurrenceText(const analysis::WarningRow& row);

}  // namespace proofdrive::output
