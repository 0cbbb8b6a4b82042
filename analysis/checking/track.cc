#include "analysis/checking/track.h"

#include <algorithm>
#include <cmath>

#include "analysis/statistics/summaries.h"

namespace proofdrive::analysis {
namespace {

// As many say as much about a period as all of them.
constexpr std::size_t kMostDistances = 1000;
// Who asks for values in order of time finds the next one this near to the last.
constexpr std::size_t kNear = 8;

// The first sample after that time; the size when there is none.
std::size_t FirstAfter(const Track& track, double at_s) {
  const std::vector<double>& times = track.time_s;
  std::size_t& near = track.found.index;
  if (near > times.size()) near = 0;
  if (near == 0 || times[near - 1] <= at_s) {
    const std::size_t end = std::min(times.size(), near + kNear);
    while (near < end && times[near] <= at_s) ++near;
    if (near == times.size() || times[near] > at_s) return near;
  }
  near =
      static_cast<std::size_t>(std::upper_bound(times.begin(), times.end(), at_s) - times.begin());
  return near;
}

}  // namespace

double Period(const Track& track) {
  if (track.size() < 2) return 0;
  Track::Found& found = track.found;
  const double first = track.time_s.front(), last = track.time_s.back();
  if (found.size == track.size() && found.first == first && found.last == last) {
    return found.period;
  }
  std::vector<double> distances;
  const std::size_t step = std::max<std::size_t>(track.size() / kMostDistances, 1);
  for (std::size_t i = 1; i < track.size(); i += step) {
    distances.push_back(track.time_s[i] - track.time_s[i - 1]);
  }
  found.size = track.size();
  found.first = first;
  found.last = last;
  return found.period = Median(std::move(distances));
}

std::optional<double> ValueAt(const Track& track, double at_s, double most_age_s) {
  const std::size_t after = FirstAfter(track, at_s);
  if (after == 0) return std::nullopt;
  const std::size_t index = after - 1;
  if (at_s - track.time_s[index] > most_age_s) return std::nullopt;
  return track.value[index];
}

Track KeepIn(const Track& track, const Intervals& intervals) {
  Track kept;
  auto from = track.time_s.begin();
  for (const Interval& interval : intervals) {
    from = std::lower_bound(from, track.time_s.end(), interval.from_s);
    const auto to = std::upper_bound(from, track.time_s.end(), interval.to_s);
    kept.time_s.insert(kept.time_s.end(), from, to);
    kept.value.insert(kept.value.end(), track.value.begin() + (from - track.time_s.begin()),
                      track.value.begin() + (to - track.time_s.begin()));
    from = to;
  }
  return kept;
}

Track Between(const Track& track, double from_s, double to_s) {
  return KeepIn(track, {{from_s, to_s}});
}

Track Thinned(const Track& track, std::size_t most) {
  if (track.size() <= most || most == 0) return track;
  const std::size_t step = (track.size() + most - 1) / most;
  Track thin;
  for (std::size_t i = 0; i < track.size(); i += step) thin.Add(track.time_s[i], track.value[i]);
  return thin;
}

Track BinMedians(const Track& track, std::size_t bins) {
  Track medians;
  if (track.empty() || bins == 0) return medians;
  const double first = track.time_s.front();
  const double width = (track.time_s.back() - first) / static_cast<double>(bins);
  if (width <= 0) return track;
  std::size_t i = 0;
  for (std::size_t bin = 0; bin < bins; ++bin) {
    const bool last = bin + 1 == bins;
    const double end = first + width * static_cast<double>(bin + 1);
    std::vector<double> values;
    for (; i < track.size() && (last || track.time_s[i] < end); ++i) {
      values.push_back(track.value[i]);
    }
    if (!values.empty()) medians.Add(end - width / 2, Median(std::move(values)));
  }
  return medians;
}

Intervals Where(const Track& track, double most_gap_s, const std::function<bool(double)>& has) {
  Intervals found;
  bool open = false;
  for (std::size_t i = 0; i < track.size(); ++i) {
    const double now = track.time_s[i];
    if (open && now - found.back().to_s > most_gap_s) open = false;
    // The value held until this sample.
    if (open) found.back().to_s = now;
    const bool holds = has(track.value[i]);
    if (holds && !open) found.push_back({now, now});
    open = holds;
  }
  return found;
}

Intervals Both(const Intervals& a, const Intervals& b) {
  Intervals both;
  std::size_t j = 0;
  for (const Interval& one : a) {
    while (j > 0 && (j == b.size() || b[j].from_s > one.from_s)) --j;
    for (; j < b.size() && b[j].from_s <= one.to_s; ++j) {
      const double from = std::max(one.from_s, b[j].from_s);
      const double to = std::min(one.to_s, b[j].to_s);
      if (to > from) both.push_back({from, to});
    }
  }
  return both;
}

Intervals Outside(const Intervals& intervals, double length_s) {
  Intervals rest;
  double from = 0;
  for (const Interval& interval : intervals) {
    if (interval.from_s > from) rest.push_back({from, interval.from_s});
    from = std::max(from, interval.to_s);
  }
  if (from < length_s) rest.push_back({from, length_s});
  return rest;
}

Intervals WithoutHead(const Intervals& intervals, double head_s) {
  Intervals rest;
  for (const Interval& interval : intervals) {
    if (interval.length() > head_s) rest.push_back({interval.from_s + head_s, interval.to_s});
  }
  return rest;
}

Intervals AtLeast(const Intervals& intervals, double length_s) {
  Intervals kept;
  for (const Interval& interval : intervals) {
    if (interval.length() >= length_s) kept.push_back(interval);
  }
  return kept;
}

double TotalLength(const Intervals& intervals) {
  double sum = 0;
  for (const Interval& interval : intervals) sum += interval.length();
  return sum;
}

bool Contains(const Intervals& intervals, double at_s) {
  for (const Interval& interval : intervals) {
    if (at_s >= interval.from_s && at_s <= interval.to_s) return true;
  }
  return false;
}

std::vector<double> Changes(const Track& track) {
  std::vector<double> times;
  for (std::size_t i = 1; i < track.size(); ++i) {
    if (track.value[i] != track.value[i - 1]) times.push_back(track.time_s[i]);
  }
  return times;
}

Intervals Steady(const Track& track, double least_s, const std::function<double(double)>& band) {
  Intervals found;
  std::size_t first = 0;
  double sum = 0;
  for (std::size_t i = 0; i <= track.size(); ++i) {
    const bool end = i == track.size();
    const double mean = i > first ? sum / static_cast<double>(i - first) : 0;
    if (end || (i > first && std::fabs(track.value[i] - mean) > band(mean))) {
      if (i > first && track.time_s[i - 1] - track.time_s[first] >= least_s) {
        found.push_back({track.time_s[first], track.time_s[i - 1]});
      }
      first = i;
      sum = 0;
    }
    if (!end) sum += track.value[i];
  }
  return found;
}

}  // namespace proofdrive::analysis
