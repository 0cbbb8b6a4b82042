#include "tests/support/places.h"

namespace proofdrive::testing {

std::string SourcePath(std::string_view relative) {
  return std::string(PROOFDRIVE_SOURCE_DIR "/").append(relative);
}

std::string BuildPath(std::string_view relative) {
  return std::string(PROOFDRIVE_BINARY_DIR "/").append(relative);
}

}  // namespace proofdrive::testing
