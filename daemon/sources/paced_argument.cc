#include "daemon/sources/paced_argument.h"

#include "core/base/text.h"

namespace proofdrive::daemon {
namespace {

constexpr double kLargestSpeed = 10000;

Result<double> ParseSpeed(const std::string& text) {
  if (text == "max") return 0.0;
  const auto speed = ParseDouble(text);
  if (speed.ok() && *speed > 0 && *speed <= kLargestSpeed) return *speed;
  return Status(ErrorKind::kInvalidArgument,
                "a speed of \"x" + text + "\" is not possible: write a number above 0 and up to " +
                    FormatDouble(kLargestSpeed) + ", as in x10, or xmax");
}

// Position of the "x" of a speed at the end, or npos.
std::size_t FindSpeed(const std::string& argument) {
  if (argument.ends_with("xmax")) return argument.size() - 4;
  const std::size_t x = argument.rfind('x');
  if (x == std::string::npos || !ParseDouble(argument.substr(x + 1)).ok()) {
    return std::string::npos;
  }
  return x;
}

}  // namespace

Result<PacedArgument> ParsePacedArgument(const std::string& argument) {
  const std::size_t x = FindSpeed(argument);
  if (x == std::string::npos) return PacedArgument{argument, 1.0};
  ASSIGN_OR_RETURN(const double speed, ParseSpeed(argument.substr(x + 1)));
  return PacedArgument{argument.substr(0, x), speed};
}

}  // namespace proofdrive::daemon
