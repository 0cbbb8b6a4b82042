#include "analysis/survey/meaning/reference.h"

#include <algorithm>
#include <chrono>
#include <cmath>

#include "core/base/text.h"
#include "core/base/time.h"

namespace proofdrive::analysis::survey {
namespace {

constexpr double kLeastTogether = 5;     // s
constexpr double kLongestSession = 1e7;  // s; later times count from 1970

Status LineError(std::size_t line, const std::string& what) {
  return Status(ErrorKind::kInvalidArgument, "line " + std::to_string(line) + ": " + what);
}

Result<double> ParseTime(const std::string& cell) {
  auto number = ParseDouble(Trim(cell));
  if (number.ok()) return number;
  ASSIGN_OR_RETURN(const WallTime time, ParseWallTime(Trim(cell)));
  return std::chrono::duration<double>(time.time_since_epoch()).count();
}

Status AddLine(const std::string& line, std::size_t number, std::vector<Reference>& references) {
  const std::vector<std::string> cells = Split(line, ',');
  if (cells.size() != references.size() + 1) {
    return LineError(number, "has " + CountOf(cells.size(), "cell") + ", the first line has " +
                                 std::to_string(references.size() + 1));
  }
  const auto time = ParseTime(cells[0]);
  if (!time.ok()) return LineError(number, "\"" + cells[0] + "\" is no time");
  for (std::size_t i = 0; i < references.size(); ++i) {
    Reference& reference = references[i];
    const std::string_view cell = Trim(cells[i + 1]);
    if (cell.empty()) continue;
    const auto value = ParseDouble(cell);
    if (!value.ok()) return LineError(number, "\"" + std::string(cell) + "\" is no number");
    if (!reference.times.empty() && *time < reference.times.back()) {
      return LineError(number, "its time is before that of the line above; sort the file");
    }
    reference.times.push_back(*time);
    reference.values.push_back(*value);
  }
  return Status::Ok();
}

}  // namespace

Result<std::vector<Reference>> ParseReferences(const std::string& text) {
  std::vector<Reference> references;
  const std::vector<std::string> lines = Split(text, '\n');
  std::size_t number = 0;
  for (const std::string& line : lines) {
    ++number;
    if (Trim(line).empty()) continue;
    if (!references.empty()) {
      RETURN_IF_ERROR(AddLine(line, number, references));
      continue;
    }
    const std::vector<std::string> names = Split(line, ',');
    if (names.size() < 2) {
      return LineError(number, "name the columns: time_s, then what is to be followed");
    }
    for (std::size_t i = 1; i < names.size(); ++i) {
      references.push_back({std::string(Trim(names[i])), "", {}, {}});
    }
  }
  const bool any = std::any_of(references.begin(), references.end(),
                               [](const Reference& one) { return !one.times.empty(); });
  if (!any) return Status(ErrorKind::kInvalidArgument, "there are no values to follow");
  return references;
}

Status PlaceInTime(double begin, double end, Reference& reference) {
  if (reference.times.empty()) return Status::Ok();
  if (begin > kLongestSession && std::abs(reference.times.back()) < kLongestSession) {
    for (double& time : reference.times) time += begin;
  }
  const double together =
      std::min(end, reference.times.back()) - std::max(begin, reference.times.front());
  if (together >= kLeastTogether) return Status::Ok();
  return Status(ErrorKind::kInvalidArgument,
                "the times of " + reference.name +
                    " do not meet the recording: they are of another drive or another clock");
}

}  // namespace proofdrive::analysis::survey
