// Where tests find what is not code: the project's own files and the programs that were built.
#pragma once

#include <string>
#include <string_view>

namespace proofdrive::testing {

// Absolute path of a file or folder named from the top of the repository.
std::string SourcePath(std::string_view relative);
// Absolute path of a file or folder of the build that this test belongs to.
std::string BuildPath(std::string_view relative);

}  // namespace proofdrive::testing
