// What a reader says about a session that is not whole.
#pragma once

#include <cstdint>
#include <string>

namespace proofdrive::session {

// Something that is missing from what can be read, or odd about it.
struct Loss {
  enum class Severity { kNotice, kDataLoss };
  Severity severity = Severity::kNotice;
  std::uint64_t offset = 0;  // in the file
  std::uint64_t bytes = 0;   // concerned
  std::string what;          // "chunk 17: checksum does not match"
  std::string advice;        // what to do about it
};

}  // namespace proofdrive::session
