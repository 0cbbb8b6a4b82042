#include "daemon/sources/paced_argument.h"

#include <algorithm>
#include <cctype>

#include "core/base/text.h"

namespace proofdrive::daemon {
namespace {

constexpr double kLargestSpeed = 10000;

Result<double> ParseSpeed(const std::string& text) {
  if (text == "max") return 0.0;
  const auto speed = ParseDouble(text);
  if (speed.ok() && *speed > 0 && *speed <= kLargestSpeed) return *speed;
  return Status(ErrorKind::kInvalidArgument,
                "a speed of \"" + text + "\" is not possible: write a number above 0 and up to " +
                    FormatDouble(kLargestSpeed) + ", as in @10, or @max");
}

// The older form: a number or "max" after an "x" at the end. Position of the "x", or npos.
std::size_t FindOlderSpeed(const std::string& argument) {
  if (argument.ends_with("xmax")) return argument.size() - 4;
  const std::size_t x = argument.rfind('x');
  if (x == std::string::npos || !ParseDouble(argument.substr(x + 1)).ok()) {
    return std::string::npos;
  }
  return x;
}

// Position of the character before the speed, or npos. A path may have an '@', too: what is meant
// as a speed is a number or one word.
std::size_t FindSpeed(const std::string& argument) {
  const std::size_t at = argument.rfind('@');
  if (at == std::string::npos) return FindOlderSpeed(argument);
  const std::string text = argument.substr(at + 1);
  const bool word = std::all_of(text.begin(), text.end(), [](char c) {
    return std::isalnum(static_cast<unsigned char>(c)) != 0;
  });
  return word || ParseDouble(text).ok() ? at : FindOlderSpeed(argument);
}

}  // namespace

Result<PacedArgument> ParsePacedArgument(const std::string& argument) {
  const std::size_t at = FindSpeed(argument);
  if (at == std::string::npos) return PacedArgument{argument, 1.0};
  ASSIGN_OR_RETURN(const double speed, ParseSpeed(argument.substr(at + 1)));
  return PacedArgument{argument.substr(0, at), speed};
}

}  // namespace proofdrive::daemon
