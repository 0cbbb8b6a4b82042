#include "tests/survey/meaning_score.h"

#include <algorithm>
#include <cmath>
#include <fstream>
#include <sstream>

#include "analysis/survey/meaning/follow.h"
#include "analysis/survey/meaning/marks.h"
#include "analysis/survey/survey.h"
#include "bench/car/random.h"
#include "tests/support/real_frames.h"
#include "tests/support/shared_data.h"
#include "tests/survey/truth.h"

namespace proofdrive::survey_tests {
namespace {

using namespace analysis::survey;  // NOLINT: what is scored here

constexpr std::uint32_t kPedals = 0x0E3;  // of the bench vehicle; the switch is byte 2 bit 7

std::vector<double> BrakeTimes(const Recording& drive) {
  std::vector<double> times;
  for (const Identifier& identifier : drive.identifiers) {
    if (identifier.id != kPedals) continue;
    const PayloadRows& rows = identifier.rows;
    for (std::size_t row = 1; row < rows.size(); ++row) {
      const bool pressed = (rows.row(row)[2] & 0x80) != 0;
      if (pressed && (rows.row(row - 1)[2] & 0x80) == 0) times.push_back(rows.times[row]);
    }
  }
  return times;
}

bool IsBrake(const BitAtMarks& bit) { return bit.id == kPedals && bit.byte == 2 && bit.bit == 7; }

}  // namespace

MarkScore ScoreMarks(std::uint64_t seed, int marks, int draws, int random_runs) {
  const Recording drive = BenchRecording("drive", seed, 600);
  const auto found = Survey(drive.identifiers);
  const std::vector<double> brakes = BrakeTimes(drive);
  bench::Random random(seed, 21);
  MarkScore score;
  for (int draw = 0; draw < draws; ++draw) {
    std::vector<double> times(brakes);
    while (times.size() > static_cast<std::size_t>(marks)) {
      times.erase(times.begin() + random.Below(static_cast<std::uint32_t>(times.size())));
    }
    for (double& time : times) time += random.Uniform(0.3, 1.5);
    const MarkAnswer answer = FollowMarks(times, drive.identifiers, found);
    ++score.draws;
    const auto at = std::find_if(answer.bits.begin(), answer.bits.end(), IsBrake);
    if (at == answer.bits.end()) continue;
    score.first_three += at - answer.bits.begin() < 3 ? 1 : 0;
    score.accepted += at->accepted ? 1 : 0;
  }
  const double begin = drive.identifiers.front().rows.times.front();
  for (int run = 0; run < random_runs; ++run) {
    std::vector<double> times;
    for (int i = 0; i < marks; ++i) times.push_back(begin + random.Uniform(5, 595));
    const MarkAnswer answer = FollowMarks(times, drive.identifiers, found);
    ++score.random_runs;
    score.random_accepted += std::any_of(answer.bits.begin(), answer.bits.end(),
                                         [](const BitAtMarks& bit) { return bit.accepted; })
                                 ? 1
                                 : 0;
  }
  return score;
}

bool ScoreFollow(FollowScore& score) {
  const auto frames = testing::RealFrames("survey-car-one", "drive-bus-0.csv.gz");
  if (!frames) return false;
  IdentifierCollector collector;
  for (const Frame& frame : *frames) collector.Add("0", frame);
  const auto identifiers = collector.Take();
  const auto found = Survey(identifiers);
  const auto tracks = TracksOf(identifiers, found);
  std::ifstream file(*testing::Dataset("survey-car-one") + "/reference-gnss-speed.csv");
  std::stringstream text;
  text << file.rdbuf();
  auto references = ParseReferences(text.str());
  if (!references.ok()) return false;
  Reference& speed = references->front();
  score.fields = static_cast<int>(tracks.size());
  const auto partners = Follow(speed, tracks, 5);
  for (std::size_t i = 0; i < partners.size(); ++i) {
    score.r2[i] = partners[i].r2;
    score.scale[i] = 3.6 * partners[i].scale;
    score.known[i] = partners[i].field.id == 0x0B4 || partners[i].field.id == 0x0AA;
    if (i == 0) score.lag = partners[i].lag_s;
  }
  const std::size_t n = speed.values.size();
  for (std::size_t k = 0; k < 20; ++k) {
    Reference shifted = speed;
    std::rotate(shifted.values.begin(),
                shifted.values.begin() + static_cast<std::ptrdiff_t>(n / 10 + 4 * n / 5 * k / 20),
                shifted.values.end());
    const auto false_ones = Follow(shifted, tracks, 1);
    score.shifted_accepted += !false_ones.empty() && false_ones.front().accepted ? 1 : 0;
  }
  return true;
}

}  // namespace proofdrive::survey_tests
