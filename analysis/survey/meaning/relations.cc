#include "analysis/survey/meaning/relations.h"

#include <algorithm>
#include <cmath>
#include <limits>

namespace proofdrive::analysis::survey {
namespace {

constexpr double kStep = 1;  // s
constexpr std::size_t kMostSteps = 1200;
constexpr std::size_t kMostFields = 150;
constexpr std::size_t kLeastMoves = 20;  // steps in which a field changes
constexpr double kLeastR2 = 0.8;
const double kNaN = std::numeric_limits<double>::quiet_NaN();

struct Grid {
  double begin = 0;
  double step = kStep;
  std::size_t points = 0;
};

Grid GridOf(const std::vector<FieldTrack>& tracks) {
  TimeSpan span;
  for (const FieldTrack& track : tracks) span.Widen(*track.times);
  Grid grid;
  if (!(span.end > span.begin)) return grid;
  grid.begin = span.begin;
  grid.step = std::max(kStep, span.length() / static_cast<double>(kMostSteps));
  grid.points = static_cast<std::size_t>(span.length() / grid.step) + 1;
  return grid;
}

// Mean of the values in each step: a value that is sampled often is not read at one instant.
std::vector<double> MeansOf(const FieldTrack& track, const Grid& grid) {
  std::vector<double> sums(grid.points, 0);
  std::vector<double> counts(grid.points, 0);
  for (std::size_t i = 0; i < track.values.size(); ++i) {
    if (std::isnan(track.values[i])) continue;
    const auto at =
        static_cast<std::size_t>(std::max(0.0, ((*track.times)[i] - grid.begin) / grid.step));
    if (at >= grid.points) continue;
    sums[at] += track.values[i];
    counts[at] += 1;
  }
  std::vector<double> means(grid.points, kNaN);
  for (std::size_t i = 0; i < grid.points; ++i) {
    if (counts[i] > 0) means[i] = sums[i] / counts[i];
  }
  return means;
}

std::vector<double> ChangesOf(const std::vector<double>& means) {
  std::vector<double> changes(means.size(), kNaN);
  for (std::size_t i = 1; i < means.size(); ++i) changes[i] = means[i] - means[i - 1];
  return changes;
}

std::size_t MovesOf(const std::vector<double>& changes) {
  std::size_t moves = 0;
  for (const double change : changes) moves += !std::isnan(change) && change != 0 ? 1U : 0U;
  return moves;
}

struct Fit {
  double r2 = 0;
  double factor = 0;  // y = factor * x
};

Fit FitOf(const std::vector<double>& y, const std::vector<double>& x) {
  double n = 0, sx = 0, sy = 0, sxx = 0, syy = 0, sxy = 0;
  for (std::size_t i = 0; i < y.size(); ++i) {
    if (std::isnan(x[i]) || std::isnan(y[i])) continue;
    n += 1, sx += x[i], sy += y[i], sxx += x[i] * x[i], syy += y[i] * y[i], sxy += x[i] * y[i];
  }
  if (n < kLeastMoves) return {};
  const double vx = sxx - sx * sx / n;
  const double vy = syy - sy * sy / n;
  const double cov = sxy - sx * sy / n;
  if (vx <= 0 || vy <= 0) return {};
  return {cov * cov / (vx * vy), cov / vx};
}

struct Moving {
  const FieldTrack* track = nullptr;
  std::vector<double> means;
  std::vector<double> changes;
  std::size_t moves = 0;
};

std::vector<Moving> MovingFields(const std::vector<FieldTrack>& tracks, const Grid& grid) {
  std::vector<Moving> fields;
  for (const FieldTrack& track : tracks) {
    if (track.kind != FieldKind::kNumber || track.certain_bits < 6) continue;
    Moving one;
    one.track = &track;
    one.means = MeansOf(track, grid);
    one.changes = ChangesOf(one.means);
    one.moves = MovesOf(one.changes);
    if (one.moves >= kLeastMoves) fields.push_back(std::move(one));
  }
  std::stable_sort(fields.begin(), fields.end(),
                   [](const Moving& a, const Moving& b) { return a.moves > b.moves; });
  if (fields.size() > kMostFields) fields.resize(kMostFields);
  return fields;
}

// The mean of a step and the one before: what a change between their middles is made of.
std::vector<double> Between(const std::vector<double>& means) {
  std::vector<double> between(means.size(), kNaN);
  for (std::size_t i = 1; i < means.size(); ++i) between[i] = (means[i] + means[i - 1]) / 2;
  return between;
}

}  // namespace

std::string_view RelationKindName(RelationKind kind) {
  return kind == RelationKind::kProportional ? "proportional" : "derivative";
}

std::vector<Relation> FindRelations(const std::vector<FieldTrack>& tracks, std::size_t most) {
  std::vector<Relation> relations;
  const Grid grid = GridOf(tracks);
  const std::vector<Moving> fields = MovingFields(tracks, grid);
  for (std::size_t a = 0; a < fields.size(); ++a) {
    const std::vector<double> level = Between(fields[a].means);
    for (std::size_t b = 0; b < fields.size(); ++b) {
      if (a == b) continue;
      if (a < b) {
        const Fit same = FitOf(fields[a].changes, fields[b].changes);
        if (same.r2 >= kLeastR2) {
          relations.push_back({RelationKind::kProportional, fields[a].track->name,
                               fields[b].track->name, same.r2, same.factor});
        }
      }
      const Fit change = FitOf(fields[b].changes, level);
      if (change.r2 < kLeastR2) continue;
      relations.push_back({RelationKind::kDerivative, fields[b].track->name, fields[a].track->name,
                           change.r2, change.factor / grid.step});
    }
  }
  std::stable_sort(relations.begin(), relations.end(),
                   [](const Relation& x, const Relation& y) { return x.r2 > y.r2; });
  if (relations.size() > most) relations.resize(most);
  return relations;
}

}  // namespace proofdrive::analysis::survey
