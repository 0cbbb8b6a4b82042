// The documents of `verify --json` and `recover --json`.
#pragma once

#include <string>
#include <vector>

#include "session/reader.h"
#include "session/recovery.h"

namespace proofdrive::output {

// A session with what `verify` found in it.
struct Verified {
  std::string path;
  session::VerifyReport report;
};

std::string VerifyJson(const std::vector<Verified>& sessions);
std::string RecoverJson(const std::string& path, const session::RecoverReport& report);

}  // namespace proofdrive::output
