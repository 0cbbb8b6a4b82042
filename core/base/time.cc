#include "core/base/time.h"

#include <cmath>
#include <cstdio>
#include <ctime>

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
  if (unit == "s" || unit.empty()) return 1.0;
  if (unit == "min") return 60.0;
  if (unit == "h") return 3600.0;
  return 0.0;
}

}  // namespace

Duration FromSeconds(double seconds) {
  return Duration(static_cast<std::int64_t>(std::llround(seconds * 1e9)));
}

Result<Duration> ParseDuration(std::string_view text) {
  const std::string_view trimmed = Trim(text);
  std::size_t digits = 0;
  while (digits < trimmed.size() &&
         (std::isdigit(static_cast<unsigned char>(trimmed[digits])) || trimmed[digits] == '.')) {
    ++digits;
  }
  const auto number = ParseDouble(trimmed.substr(0, digits));
  const double unit = UnitInSeconds(Trim(trimmed.substr(digits)));
  if (!number.ok() || unit == 0.0 || *number * unit > 3.15e8) {
    return Status(ErrorKind::kInvalidArgument,
                  "\"" + std::string(text) +
                      "\" is not a duration: write for example \"100 ms\", "
                      "\"2 s\", \"10min\" or \"1.5 h\"");
  }
  return FromSeconds(*number * unit);
}

std::string FormatDuration(Duration duration) {
  const double seconds = ToSeconds(duration);
  const double magnitude = std::fabs(seconds);
  char text[48];
  if (magnitude < 10) {
    std::snprintf(text, sizeof(text), "%.3f s", seconds);
  } else if (magnitude < 60) {
    std::snprintf(text, sizeof(text), "%.1f s", seconds);
  } else if (magnitude < 3600) {
    const auto whole = static_cast<long long>(magnitude);
    std::snprintf(text, sizeof(text), "%s%lld min %02lld s", seconds < 0 ? "-" : "", whole / 60,
                  whole % 60);
  } else {
    const auto minutes = static_cast<long long>(magnitude) / 60;
    std::snprintf(text, sizeof(text), "%s%lld h %02lld min", seconds < 0 ? "-" : "", minutes / 60,
                  minutes % 60);
  }
  return text;
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
