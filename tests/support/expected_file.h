// Files that a test compares with what the code makes, and writes anew when told to.
#pragma once

#include <string>

namespace proofdrive::testing {

// Whether PROOFDRIVE_WRITE_EXPECTED is set: what the code makes now is then written, to be read in
// `git diff`, instead of being compared.
bool WritingExpected();

// The bytes of a file; empty when it cannot be read.
std::string ReadText(const std::string& path);

}  // namespace proofdrive::testing
