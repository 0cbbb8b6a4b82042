// Losses of sessions, for `verify` and `recover`.
#pragma once

#include <string>
#include <vector>

#include "session/model/loss.h"
#include "session/reader.h"
#include "session/recovery.h"

namespace proofdrive::output {

bool AnyDataLoss(const std::vector<session::Loss>& losses);

// One paragraph for each: severity, what is missing and where, advice.
std::string FormatLosses(const std::vector<session::Loss>& losses);

// A session with what `verify` found in it.
struct Verified {
  std::string path;
  session::VerifyReport report;
};

// The documents of `verify --json` and `recover --json`.
std::string VerifyJson(const std::vector<Verified>& sessions);
std::string RecoverJson(const std::string& path, const session::RecoverReport& report);

}  // namespace proofdrive::output
