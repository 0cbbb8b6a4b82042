// One signal over time, and stretches of time: what the checks calculate with. Times are seconds
// since the start of the session; a value holds until the next one.
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <span>
#include <vector>

namespace proofdrive::analysis {

struct Track {
  std::vector<double> time_s;  // never falls
  std::vector<double> value;

  bool empty() const { return time_s.empty(); }
  std::size_t size() const { return time_s.size(); }
  void Add(double at_s, double number) {
    time_s.push_back(at_s);
    value.push_back(number);
  }

  // What was found of it, for who asks again; see Period and ValueAt. One thread at a time. Times
  // are only ever added.
  struct Found {
    std::size_t size = 0;  // of the track whose period it is
    double first = 0, last = 0;
    double period = 0;
    std::size_t index = 0;  // near which a value was looked for
  };
  mutable Found found = {};
};

struct Interval {
  double from_s = 0;
  double to_s = 0;
  double length() const { return to_s - from_s; }
};
// In order and apart from each other.
using Intervals = std::vector<Interval>;

// Median distance of samples; zero with fewer than two.
double Period(const Track& track);
// The latest value at or before `at_s`, not older than `most_age_s`.
std::optional<double> ValueAt(const Track& track, double at_s, double most_age_s);
// Samples within the intervals.
Track KeepIn(const Track& track, const Intervals& intervals);
Track Between(const Track& track, double from_s, double to_s);
// At most about `most` samples, evenly.
Track Thinned(const Track& track, std::size_t most);
// Medians of up to `bins` equal stretches of time from the first to the last sample; empty
// stretches are left out.
Track BinMedians(const Track& track, std::size_t bins);

// Where the value has the property. A silence of more than `most_gap_s` ends an interval there.
Intervals Where(const Track& track, double most_gap_s, const std::function<bool(double)>& has);
Intervals Both(const Intervals& a, const Intervals& b);
// What is left of the session `0 .. length_s`.
Intervals Outside(const Intervals& intervals, double length_s);
// Without the first `head_s` of each, and without those that vanish.
Intervals WithoutHead(const Intervals& intervals, double head_s);
Intervals AtLeast(const Intervals& intervals, double length_s);
double TotalLength(const Intervals& intervals);
bool Contains(const Intervals& intervals, double at_s);

// Times at which the value becomes another.
std::vector<double> Changes(const Track& track);

// Stretches of at least `least_s` in which the value stays within +-`band` of its mean so far.
Intervals Steady(const Track& track, double least_s, const std::function<double(double)>& band);

}  // namespace proofdrive::analysis
