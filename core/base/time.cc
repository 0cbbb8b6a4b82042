#include "core/base/time.h"

#include <cctype>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <limits>

#include "core/base/decimals.h"
#include "core/base/text.h"

namespace proofdrive {
namespace {

constexpr std::int64_t kNanosecondsPerSecond = 1'000'000'000;

struct SplitTime {
  std::int64_t seconds;
  std::int64_t nanoseconds;  // 0..999'999'999, also before 1970
};

SplitTime Split(WallTime time) {
  const std::int64_t ns = ToNanoseconds(time);
  std::int64_t seconds = ns / kNanosecondsPerSecond;
  std::int64_t rest = ns % kNanosecondsPerSecond;
  if (rest < 0) {
    rest += kNanosecondsPerSecond;
    --seconds;
  }
  return {seconds, rest};
}

std::string Fraction(std::int64_t nanoseconds, int decimals) {
  char digits[16];
  std::snprintf(digits, sizeof(digits), "%09lld", static_cast<long long>(nanoseconds));
  return "." + std::string(digits).substr(0, static_cast<std::size_t>(decimals));
}

double UnitInSeconds(std::string_view unit) {
  if (unit == "us") return 1e-6;
  if (unit == "ms") return 1e-3;
  if (unit == "s") return 1.0;
  if (unit == "min") return 60.0;
  if (unit == "h") return 3600.0;
  return 0.0;
}

constexpr double kLongestSeconds = 3.15e8;
// From here up lengths are told in minutes; what is rounded to it is told so, too.
constexpr double kMostSeconds = 179.5;

bool IsPartOfNumber(char c) { return std::isdigit(static_cast<unsigned char>(c)) || c == '.'; }
bool IsLetter(char c) { return std::isalpha(static_cast<unsigned char>(c)) != 0; }

// Cuts off the front of `text` as far as `belongs` holds.
std::string_view TakeWhile(std::string_view& text, bool (*belongs)(char)) {
  std::size_t end = 0;
  while (end < text.size() && belongs(text[end])) ++end;
  const std::string_view taken = text.substr(0, end);
  text.remove_prefix(end);
  return taken;
}

// "3 min 05 s", "3 min", "1 h 02 min", "1 h".
std::string InMinutes(double seconds) {
  long long small = std::llround(seconds);
  const bool hours = small >= 3600;
  if (hours) small = std::llround(seconds / 60);
  char text[48];
  std::snprintf(text, sizeof(text), "%lld %s", small / 60, hours ? "h" : "min");
  if (small % 60 == 0) return text;
  char rest[24];
  std::snprintf(rest, sizeof(rest), " %02lld %s", small % 60, hours ? "min" : "s");
  return std::string(text) + rest;
}

}  // namespace

Duration FromSeconds(double seconds) {
  return Duration(static_cast<std::int64_t>(std::llround(seconds * 1e9)));
}

Result<Duration> ParseDuration(std::string_view text) {
  std::string_view rest = Trim(text);
  double seconds = 0;
  double last_unit = std::numeric_limits<double>::infinity();
  bool good = !rest.empty();
  while (good && !rest.empty()) {
    const std::string_view number = TakeWhile(rest, IsPartOfNumber);
    rest = Trim(rest);
    const std::string_view name = TakeWhile(rest, IsLetter);
    rest = Trim(rest);
    const auto value = ParseDouble(number);
    if (value.ok() && name.empty() && rest.empty() && number == Trim(text) && *value != 0) {
      return Status(ErrorKind::kInvalidArgument,
                    "\"" + std::string(text) + "\" has no unit: write \"" + std::string(number) +
                        " s\" or \"" + std::string(number) + " min\"");
    }
    const double unit = name.empty() && value.ok() && *value == 0 ? 1 : UnitInSeconds(name);
    good = value.ok() && unit > 0 && unit < last_unit;
    last_unit = unit;
    if (good) seconds += *value * unit;
  }
  if (good && seconds <= kLongestSeconds) return FromSeconds(seconds);
  return Status(ErrorKind::kInvalidArgument,
                "\"" + std::string(text) +
                    "\" is not a duration: write for example \"100 ms\", "
                    "\"2 s\", \"10min\" or \"1.5 h\"");
}

std::string FormatDuration(Duration duration) {
  const double seconds = ToSeconds(duration);
  const double magnitude = std::fabs(seconds);
  if (magnitude < 10) return Decimals(seconds, 3) + " s";
  if (magnitude < kMostSeconds) return Decimals(seconds, 1) + " s";
  return (seconds < 0 ? "-" : "") + InMinutes(magnitude);
}

std::string SpokenDuration(Duration duration) {
  const double seconds = ToSeconds(duration);
  const double magnitude = std::fabs(seconds);
  if (magnitude >= kMostSeconds) return FormatDuration(duration);
  const int decimals = magnitude < 0.1 ? 3 : magnitude < 1 ? 2 : magnitude < 9.95 ? 1 : 0;
  return Decimals(seconds, decimals) + " s";
}

std::string SpokenShort(Duration reached, Duration wanted) {
  const std::string text = SpokenDuration(reached);
  const bool alike = reached < wanted && text == SpokenDuration(wanted);
  return alike ? "just under " + text : text;
}

std::string FormatWallTime(WallTime time, int decimals) {
  const SplitTime split = Split(time);
  const std::time_t seconds = split.seconds;
  std::tm utc{};
  gmtime_r(&seconds, &utc);
  char text[40];
  std::strftime(text, sizeof(text), "%Y-%m-%dT%H:%M:%S", &utc);
  return text + (decimals > 0 ? Fraction(split.nanoseconds, decimals) : std::string()) + "Z";
}

std::string FormatEpochSeconds(WallTime time) {
  const SplitTime split = Split(time);
  if (split.seconds >= 0) return std::to_string(split.seconds) + Fraction(split.nanoseconds, 6);
  // Before 1970: write the magnitude, so that the text reads as the number it is.
  const SplitTime positive = Split(WallTime(-time.time_since_epoch()));
  return "-" + std::to_string(positive.seconds) + Fraction(positive.nanoseconds, 6);
}

Result<WallTime> ParseWallTime(std::string_view text) {
  const std::string_view trimmed = Trim(text);
  const auto error =
      Status(ErrorKind::kInvalidArgument, "\"" + std::string(text) +
                                              "\" is not a time: write for example "
                                              "2026-03-01T12:00:00Z or seconds since 1970");
  if (trimmed.find('T') == std::string_view::npos) {
    const std::size_t point = trimmed.find('.');
    const auto whole = ParseInt64(trimmed.substr(0, point));
    if (!whole.ok() || *whole < 0 || *whole > 4'000'000'000) return error;
    double fraction = 0;
    if (point != std::string_view::npos) {
      const auto parsed = ParseDouble("0" + std::string(trimmed.substr(point)));
      if (!parsed.ok()) return error;
      fraction = *parsed;
    }
    return WallTime(std::chrono::seconds(*whole) + FromSeconds(fraction));
  }
  std::tm utc{};
  const std::string copy(trimmed);
  const char* rest = strptime(copy.c_str(), "%Y-%m-%dT%H:%M:%S", &utc);
  if (rest == nullptr) return error;
  double fraction = 0;
  std::string tail(rest);
  if (!tail.empty() && tail.back() == 'Z') tail.pop_back();
  if (!tail.empty()) {
    const auto parsed = ParseDouble("0" + tail);
    if (tail[0] != '.' || !parsed.ok()) return error;
    fraction = *parsed;
  }
  return WallTime(std::chrono::seconds(timegm(&utc)) + FromSeconds(fraction));
}

}  // namespace proofdrive
