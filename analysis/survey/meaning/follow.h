// Which field follows a known series. A series of traffic resembles any other one by its slow
// parts, so ordinary p-values say nothing: the reference is shifted round in a circle, and the best
// fit over all fields and lags must beat those of the shifts (max-T: Westfall and Young 1993; p of
// Phipson and Smyth 2010, Stat. Appl. Genet. Mol. Biol. 9:39).
#pragma once

#include <string>
#include <vector>

#include "analysis/survey/meaning/field_tracks.h"
#include "analysis/survey/meaning/reference.h"

namespace proofdrive::analysis::survey {

inline constexpr double kMostLag = 2;  // s, either way

struct Partner {
  std::string reference;
  FieldName field;
  double r2 = 0;
  double lag_s = 0;  // positive: the reference comes later
  // reference = scale * raw + offset
  double scale = 1;
  double offset = 0;
  double scale_error = 0;  // standard error
  double offset_error = 0;
  double p = 1;  // that any field fits so well by chance
  bool accepted = false;
  std::string why_not;              // empty: accepted
  std::vector<double> nice_scales;  // sensible values near the scale, the nearest first
};

// The best `most` fields, best first. Empty: too little of the reference is within the recording,
// or it does not change.
std::vector<Partner> Follow(const Reference& reference, const std::vector<FieldTrack>& tracks,
                            std::size_t most = 10);

// 1, 2, 2.5 or 5 times a power of ten, a power of two, or such a value converted between m/s, km/h
// and mph: those within two standard errors or 3 %, whichever is wider;
// at most three. None when the error is above 5 %.
std::vector<double> NiceScales(double scale, double error);

}  // namespace proofdrive::analysis::survey
