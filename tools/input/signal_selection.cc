#include "tools/input/signal_selection.h"

#include <algorithm>

#include "core/base/text.h"

namespace proofdrive::tools {
namespace {

// Numbers from here up are dates: this is March 1973, and no session lasts three years.
constexpr double kFirstEpochSecond = 1e8;

Status UnknownSignal(const decoders::Definitions& definitions, const std::string& name) {
  std::vector<std::string> names;
  for (const decoders::Signal& signal : definitions.signals) names.push_back(signal.name);
  const std::string nearest = NearestName(name, names);
  const std::string hint = nearest.empty() ? "see them all with: proofdrive decode SESSION"
                                           : "did you mean \"" + nearest + "\"?";
  return Status(ErrorKind::kNotFound,
                "the definitions have no signal \"" + Printable(name) + "\"; " + hint);
}

Status NoSuchElement(const decoders::Signal& signal) {
  if (!signal.is_series) {
    return Status(
        ErrorKind::kNotFound,
        "\"" + signal.name + "\" is one value, not a series; leave out the number in brackets");
  }
  return Status(ErrorKind::kNotFound, "\"" + signal.name + "\" has elements " + signal.name +
                                          "[1] to " + signal.name + "[" +
                                          std::to_string(signal.count) + "]");
}

int Sign(Duration difference) {
  return difference < Duration(0) ? -1 : difference > Duration(0) ? 1 : 0;
}

}  // namespace

Result<SignalSelection> SignalSelection::Create(const decoders::Definitions& definitions,
                                                const std::vector<std::string>& names) {
  SignalSelection selection;
  selection.whole_.assign(definitions.signals.size(), names.empty());
  for (const std::string& name : names) {
    RETURN_IF_ERROR(selection.Choose(definitions, std::string(Trim(name))));
  }
  return selection;
}

Status SignalSelection::Choose(const decoders::Definitions& definitions, const std::string& name) {
  const std::size_t bracket = name.find('[');
  const auto index = definitions.FindSignal(name.substr(0, bracket));
  if (!index) return UnknownSignal(definitions, name.substr(0, bracket));
  if (bracket == std::string::npos) {
    whole_[*index] = true;
    return Status::Ok();
  }
  const decoders::Signal& signal = definitions.signals[*index];
  if (!signal.is_series || name.back() != ']') return NoSuchElement(signal);
  const auto number = ParseUint64(name.substr(bracket + 1, name.size() - bracket - 2));
  if (!number.ok() || *number < 1 || *number > signal.count) return NoSuchElement(signal);
  std::vector<bool>& chosen = elements_[*index];
  chosen.resize(signal.count);
  chosen[*number - 1] = true;
  return Status::Ok();
}

bool SignalSelection::HasElement(std::uint32_t signal, std::uint32_t element) const {
  const auto found = elements_.find(signal);
  return found != elements_.end() && found->second[element];
}

std::vector<bool> SignalSelection::Signals() const {
  std::vector<bool> signals = whole_;
  for (const auto& entry : elements_) signals[entry.first] = true;
  return signals;
}

Result<TimeBound> TimeBound::Parse(const std::string& option, const std::string& text) {
  TimeBound bound;
  const auto number = ParseDouble(Trim(text));
  if (number.ok() && *number >= 0 && *number < kFirstEpochSecond) {
    bound.since_start_ = FromSeconds(*number);
    return bound;
  }
  if (const auto length = ParseDuration(text); length.ok()) {
    bound.since_start_ = *length;
    return bound;
  }
  const auto wall = ParseWallTime(text);
  if (!wall.ok()) {
    return Status(
        ErrorKind::kInvalidArgument,
        option + " " + Printable(text) +
            " is not a time: write the time since the start (12.5, 4min8s), seconds since 1970, "
            "or 2026-03-01T12:00:00Z");
  }
  bound.wall_ = *wall;
  return bound;
}

int TimeBound::Compare(WallTime time, Duration since_start) const {
  return wall_ ? Sign(time - *wall_) : Sign(since_start - since_start_);
}

bool TimeBound::IsAfter(const TimeBound& other) const {
  if (wall_.has_value() != other.wall_.has_value()) return false;
  return other.Compare(wall_.value_or(WallTime{}), since_start_) > 0;
}

}  // namespace proofdrive::tools
