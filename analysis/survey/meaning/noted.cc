#include "analysis/survey/meaning/noted.h"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <optional>

#include "core/base/text.h"
#include "core/base/time.h"

namespace proofdrive::analysis::survey {
namespace {

constexpr double kDay = 86400;

Status Malformed(const std::string& text) {
  return Status(ErrorKind::kInvalidArgument,
                "--noted \"" + text +
                    "\": write it as in \"366.1 V at 12:03:10\" or \"366.1 V at "
                    "35 s\" (35 s after the start of the recording)");
}

// "12:03:10" on the day of `begin`, or on the next when that is long before it.
std::optional<double> ParseClock(std::string_view text, double begin) {
  const std::vector<std::string> parts = Split(std::string(text), ':');
  if (parts.size() != 3) return std::nullopt;
  double seconds = 0;
  for (const std::string& part : parts) {
    const auto number = ParseDouble(part);
    if (!number.ok() || *number < 0 || *number >= 60) return std::nullopt;
    seconds = 60 * seconds + *number;
  }
  const double midnight = std::floor(begin / kDay) * kDay;
  const double time = midnight + seconds;
  return time < begin - kDay / 2 ? time + kDay : time;
}

double StepOf(const std::string& number) {
  const std::size_t point = number.find('.');
  if (point == std::string::npos) return 1;
  return std::pow(10.0, -static_cast<double>(number.size() - point - 1));
}

std::optional<double> ValueAt(const FieldTrack& track, double time) {
  const auto after = std::upper_bound(track.times->begin(), track.times->end(), time);
  if (after == track.times->begin()) return std::nullopt;
  const auto index = static_cast<std::size_t>(after - track.times->begin()) - 1;
  if (time - (*track.times)[index] > 5 || std::isnan(track.values[index])) return std::nullopt;
  return track.values[index];
}

std::optional<NotedFit> FitOf(const std::vector<NotedNumber>& notes, const FieldTrack& track) {
  double x = 0, y = 0, xx = 0, xy = 0;
  const auto n = static_cast<double>(notes.size());
  std::vector<double> raw;
  for (const NotedNumber& note : notes) {
    const auto value = ValueAt(track, note.time);
    if (!value) return std::nullopt;
    raw.push_back(*value);
  }
  for (std::size_t i = 0; i < raw.size(); ++i) {
    const double a = raw[i] - raw[0];
    const double b = notes[i].value - notes[0].value;
    x += a, y += b, xx += a * a, xy += a * b;
  }
  const double spread = xx - x * x / n;
  if (spread <= 0) return std::nullopt;
  NotedFit fit;
  fit.field = track.name;
  fit.scale = (xy - x * y / n) / spread;
  fit.offset = (y - fit.scale * x) / n + notes[0].value - fit.scale * raw[0];
  for (std::size_t i = 0; i < raw.size(); ++i) {
    const double rest = std::abs(notes[i].value - fit.scale * raw[i] - fit.offset);
    fit.worst = std::max(fit.worst, rest / notes[i].step);
  }
  if (fit.worst > 1) return std::nullopt;
  return fit;
}

std::size_t DifferentValues(const std::vector<NotedNumber>& notes) {
  std::vector<double> values;
  for (const NotedNumber& note : notes) values.push_back(note.value);
  std::sort(values.begin(), values.end());
  return static_cast<std::size_t>(std::unique(values.begin(), values.end()) - values.begin());
}

}  // namespace

Result<NotedNumber> ParseNoted(const std::string& text, double begin) {
  const std::size_t at = text.find(" at ");
  if (at == std::string::npos) return Malformed(text);
  const std::string what(Trim(text.substr(0, at)));
  const std::string when(Trim(text.substr(at + 4)));
  const std::size_t blank = what.find(' ');
  const std::string number = what.substr(0, blank);
  const auto value = ParseDouble(number);
  if (!value.ok()) return Malformed(text);
  NotedNumber note;
  note.value = *value;
  note.step = StepOf(number);
  if (blank != std::string::npos) note.unit = Trim(what.substr(blank));
  if (const auto clock = ParseClock(when, begin)) {
    note.time = *clock;
  } else if (const auto duration = ParseDuration(when); duration.ok()) {
    note.time = begin + ToSeconds(*duration);
  } else if (const auto wall = ParseWallTime(when); wall.ok()) {
    note.time = std::chrono::duration<double>(wall->time_since_epoch()).count();
  } else {
    return Malformed(text);
  }
  return note;
}

NotedAnswer FollowNotes(const std::vector<NotedNumber>& notes,
                        const std::vector<FieldTrack>& tracks) {
  NotedAnswer answer;
  if (DifferentValues(notes) < kLeastNotes) {
    answer.notice = "too little: note at least four different numbers, each with its time";
    return answer;
  }
  for (const FieldTrack& track : tracks) {
    if (track.kind == FieldKind::kFlag || track.times->empty()) continue;
    if (auto fit = FitOf(notes, track)) answer.fits.push_back(std::move(*fit));
  }
  std::stable_sort(answer.fits.begin(), answer.fits.end(),
                   [](const NotedFit& a, const NotedFit& b) { return a.worst < b.worst; });
  if (answer.fits.empty()) {
    answer.notice = "no field fits all numbers to within their last digit";
  } else if (answer.fits.size() > 1) {
    answer.notice = CountOf(answer.fits.size(), "field") +
                    " fit alike: more numbers, further apart, would tell which";
  }
  return answer;
}

}  // namespace proofdrive::analysis::survey
