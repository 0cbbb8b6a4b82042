// Scores the meanings a survey proposes: from marks and from references.
#pragma once

#include <cstdint>

namespace proofdrive::survey_tests {

struct MarkScore {
  int draws = 0;
  int first_three = 0;  // the true bit is among the first three
  int accepted = 0;     // and accepted
  int random_runs = 0;
  int random_accepted = 0;  // runs with random marks in which any bit was accepted
};

// The brake of the bench vehicle, marked by hand 0.3 to 1.5 s late.
MarkScore ScoreMarks(std::uint64_t seed, int marks, int draws, int random_runs);

struct FollowScore {
  int fields = 0;
  double r2[5] = {};         // of the first five partners
  double scale[5] = {};      // per m/s turned into km/h
  bool known[5] = {};        // is the speed field or one of the wheels
  double lag = 0;            // of the first, s
  int shifted_accepted = 0;  // of 20 references shifted in a circle
};

// Satellite speed against the dataset survey-car-one. False, and said so: it is not there.
bool ScoreFollow(FollowScore& score);

}  // namespace proofdrive::survey_tests
