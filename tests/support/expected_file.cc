#include "tests/support/expected_file.h"

#include <cstdlib>
#include <fstream>
#include <sstream>

namespace proofdrive::testing {

bool WritingExpected() { return std::getenv("PROOFDRIVE_WRITE_EXPECTED") != nullptr; }

std::string ReadText(const std::string& path) {
  const std::ifstream file(path, std::ios::binary);
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

}  // namespace proofdrive::testing
