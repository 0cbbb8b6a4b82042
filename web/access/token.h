// The secret that opens the live page.
#pragma once

#include <string>

#include "core/base/result.h"

namespace proofdrive::web {

inline constexpr std::size_t kShortestToken = 16;
inline constexpr std::size_t kLongestToken = 128;

// 20 letters and digits that are easy to type, 100 bits of the kernel's random numbers.
Result<std::string> RandomToken();

// The first line of the file. When there is no such file it is made, readable for this user alone,
// with a random token. kInvalidArgument when the file holds something else than kShortestToken to
// kLongestToken letters, digits, "-" and "_"; kPermission when others may read it.
Result<std::string> ReadOrMakeToken(const std::string& path);

}  // namespace proofdrive::web
