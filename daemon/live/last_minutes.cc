#include "daemon/live/last_minutes.h"

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/base/text.h"

namespace proofdrive::daemon {
namespace {

constexpr float kNothing = std::numeric_limits<float>::quiet_NaN();

bool IsUsable(const LatestValue& latest) {
  return !latest.stale && latest.value.validity == decoders::Validity::kValid &&
         std::isfinite(latest.value.number);
}

struct Extremes {
  float first = kNothing;  // the value itself where there is only one
  float lowest = kNothing;
  float highest = kNothing;
};

// Of every signal, in order of definition.
std::vector<Extremes> ExtremesOf(const Snapshot& snapshot) {
  std::vector<Extremes> all(snapshot.definitions->signals.size());
  for (const LatestValue& latest : snapshot.values) {
    if (!IsUsable(latest)) continue;
    Extremes& extremes = all[latest.value.signal];
    const auto number = static_cast<float>(latest.value.number);
    if (latest.value.element == 0) extremes.first = number;
    extremes.lowest = std::fmin(extremes.lowest, number);
    extremes.highest = std::fmax(extremes.highest, number);
  }
  return all;
}

}  // namespace

void LastMinutes::AddColumn(std::uint32_t signal, Kind kind) {
  if (columns_.size() < kColumns) columns_.push_back({signal, kind, std::vector<float>()});
}

void LastMinutes::BeginAnew(const Snapshot& snapshot) {
  if (snapshot.definitions != definitions_) {
    definitions_ = snapshot.definitions;
    columns_.clear();
    for (std::uint32_t i = 0; i < definitions_->signals.size(); ++i) {
      if (!definitions_->signals[i].is_series) {
        AddColumn(i, Kind::kValue);
      } else {
        AddColumn(i, Kind::kLowest);
        AddColumn(i, Kind::kHighest);
      }
    }
  }
  for (Column& column : columns_) column.ring.clear();
  times_.clear();
  next_ = 0;
}

void LastMinutes::Take(const Snapshot& snapshot) {
  if (!snapshot.definitions) return;
  const double time = static_cast<double>(ToNanoseconds(snapshot.time)) / 1e9;
  const double newest = times_.empty() ? time : times_[(next_ + times_.size() - 1) % times_.size()];
  if (snapshot.definitions != definitions_ || time < newest) BeginAnew(snapshot);
  const bool full = times_.size() == kRows;
  const auto put = [&](auto& ring, auto value) {
    if (full) {
      ring[next_] = value;
    } else {
      ring.push_back(value);
    }
  };
  put(times_, time);
  const std::vector<Extremes> extremes = ExtremesOf(snapshot);
  for (Column& column : columns_) {
    const Extremes& of = extremes[column.signal];
    put(column.ring, column.kind == Kind::kValue    ? of.first
                     : column.kind == Kind::kLowest ? of.lowest
                                                    : of.highest);
  }
  if (full) next_ = (next_ + 1) % kRows;
}

std::string LastMinutes::NameOf(const Column& column) const {
  const std::string& name = definitions_->signals[column.signal].name;
  if (column.kind == Kind::kValue) return name;
  return name + (column.kind == Kind::kLowest ? ".lowest" : ".highest");
}

std::vector<std::string> LastMinutes::Names() const {
  std::vector<std::string> names;
  for (const Column& column : columns_) names.push_back(NameOf(column));
  return names;
}

Result<LastMinutes::Extract> LastMinutes::Get(const std::vector<std::string>& names) const {
  Extract extract;
  const auto in_order = [this](const auto& ring) {
    auto rotated = ring;
    std::rotate(rotated.begin(), rotated.begin() + static_cast<std::ptrdiff_t>(next_),
                rotated.end());
    return rotated;
  };
  for (const std::string& name : names) {
    const auto found = std::find_if(columns_.begin(), columns_.end(),
                                    [&](const Column& column) { return NameOf(column) == name; });
    if (found == columns_.end()) {
      return Status(ErrorKind::kInvalidArgument,
                    "no history is kept of \"" + Printable(name) + "\"");
    }
    extract.columns.push_back(in_order(found->ring));
  }
  extract.times = in_order(times_);
  return extract;
}

}  // namespace proofdrive::daemon
