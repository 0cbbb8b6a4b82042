// One run of proofdrive within a test's own process.
#pragma once

#include <cstdio>
#include <fstream>
#include <sstream>
#include <string>
#include <vector>

#include "core/base/posix_files.h"
#include "tools/shell/command.h"

namespace proofdrive::testing {

// The exit code. What it prints is thrown away while it is written; the messages of wrong use (2)
// and damaged input (4) go to standard error.
inline int RunUnheard(const std::vector<std::string>& words) {
  PosixFiles files;
  std::ofstream nowhere("/dev/null");
  std::ostringstream err;
  std::vector<const char*> argv = {"proofdrive"};
  for (const std::string& word : words) argv.push_back(word.c_str());
  tools::Environment environment{files, nowhere, err};
  const int code = tools::RunTool(static_cast<int>(argv.size()), argv.data(), environment);
  if (code == 2 || code == 4) std::fputs(err.str().c_str(), stderr);
  return code;
}

}  // namespace proofdrive::testing
