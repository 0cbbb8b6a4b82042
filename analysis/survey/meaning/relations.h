// Fields that move together: equal, proportional, or one the change of the other. Told as
// relations, never as meanings: two values that rise on every drive are no proof of anything.
// Changes are compared, not levels, because every pair of trends correlates.
#pragma once

#include <string_view>
#include <vector>

#include "analysis/survey/meaning/field_tracks.h"

namespace proofdrive::analysis::survey {

enum class RelationKind : std::uint8_t { kProportional, kDerivative };
std::string_view RelationKindName(RelationKind kind);  // "proportional", "derivative"

struct Relation {
  RelationKind kind = RelationKind::kProportional;
  FieldName first;  // proportional: first = factor * second + something constant
  FieldName
      second;     // derivative: change of first per second = factor * second + something constant
  double r2 = 0;  // of the changes over a second
  double factor = 0;
};

// The best `most` with r2 of at least 0.8, best first. The work grows with the square of the
// fields: only the 150 that move most often are compared.
std::vector<Relation> FindRelations(const std::vector<FieldTrack>& tracks, std::size_t most = 30);

}  // namespace proofdrive::analysis::survey
