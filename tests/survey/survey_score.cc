// Scores the survey against recordings whose truth is known and prints a table, chance levels
// beside it. survey_score [--tune [--more]...] [--misses] [--fields] [--weight NAME=VALUE]...
//
// --tune takes other seeds than those that judge: work on the survey with these only.
#include <sys/resource.h>

#include <chrono>
#include <cstdio>
#include <cstring>
#include <ctime>
#include <map>
#include <string>

#include "analysis/survey/survey.h"
#include "decoders/language/where_parser.h"
#include "tests/support/real_frames.h"
#include "tests/survey/chance.h"
#include "tests/survey/meaning_score.h"
#include "tests/survey/repack.h"
#include "tests/survey/score.h"

namespace proofdrive::survey_tests {
namespace {

using analysis::survey::CostWeights;
using analysis::survey::FoundFrame;

struct Settings {
  bool tune = false;
  bool misses = false;
  bool fields_only = false;
  std::uint64_t first_seed = 0;  // with --tune: further draws
  CostWeights weights;
};

bool SetWeight(const std::string& text, CostWeights& weights) {
  const std::map<std::string, double CostWeights::*> names = {
      {"field", &CostWeights::field},
      {"parameter", &CostWeights::parameter},
      {"at_nibble", &CostWeights::at_nibble},
      {"at_other", &CostWeights::at_other},
      {"constant_most", &CostWeights::constant_most},
      {"constant_base", &CostWeights::constant_base},
      {"constant_each", &CostWeights::constant_each},
      {"noisy_pair", &CostWeights::noisy_pair},
      {"flag", &CostWeights::flag},
      {"noisy_narrow", &CostWeights::noisy_narrow},
  };
  const std::size_t equals = text.find('=');
  const auto found = names.find(text.substr(0, equals));
  if (equals == std::string::npos || found == names.end()) return false;
  weights.*(found->second) = std::stod(text.substr(equals + 1));
  return true;
}

struct Line {
  std::string name;
  Score score;
  Score chance[3];
  double seconds = 0;
};

void Judge(const Recording& recording, const Settings& settings, Line& line) {
  const auto start = std::chrono::steady_clock::now();
  const std::vector<FoundFrame> found =
      analysis::survey::Survey(recording.identifiers, settings.weights);
  line.seconds += std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  line.score.Add(ScoreOf(recording, found));
  for (const Chance chance : {Chance::kBytes, Chance::kWords, Chance::kRandom}) {
    line.chance[static_cast<int>(chance)].Add(
        ScoreOf(recording, CutByChance(recording, found, chance, 1)));
  }
}

void Print(const Line& line, const Settings& settings) {
  const Score& s = line.score;
  std::printf(
      "%-28s %6.1f %6.1f  %.3f  %.3f  %5.1f/%-5.1f  %4.1f/%-4.1f %4.1f   %2d/%-2d+%d  %2d/%-2d+%d  "
      "%d/%d+%d   %.2f %.2f %.2f  %5.2f\n",
      line.name.c_str(), s.true_fields, s.proposed, s.F1(), s.MeanJaccard(), s.order_right,
      s.multi_byte, s.sign_found, s.is_signed, s.called_signed_wrongly, s.counters_right,
      s.counters, s.counters_false, s.checksums_right, s.checksums, s.checksums_false,
      s.selectors_right, s.selectors, s.selectors_false, line.chance[0].F1(), line.chance[1].F1(),
      line.chance[2].F1(), line.seconds);
  if (!settings.misses) return;
  std::map<std::string, int> counts;
  for (const std::string& miss : s.misses) ++counts[miss];
  for (const auto& [miss, count] : counts) std::printf("    %s (%d)\n", miss.c_str(), count);
}

void JudgeBench(const Settings& settings) {
  const std::uint64_t seed = settings.tune ? 101 : 7;
  for (const auto& [scenario, seconds] : {std::pair<const char*, double>{"drive", 180},
                                          {"drive", 60},
                                          {"drive", 30},
                                          {"coolant-leak", 180},
                                          {"repaired", 180},
                                          {"updated", 180}}) {
    Line line{scenario + (" " + std::to_string(static_cast<int>(seconds))) + " s", {}, {}, 0};
    for (std::uint64_t i = 0; i < 2; ++i) {
      Judge(BenchRecording(scenario, seed + i, seconds), settings, line);
    }
    Print(line, settings);
  }
}

void JudgeRepacked(const Settings& settings) {
  const std::uint64_t seed = settings.tune ? 1000 + settings.first_seed : 5000;
  for (const unsigned gap : {0U, 4U}) {
    for (const ByteOrder order : {ByteOrder::kBig, ByteOrder::kLittle}) {
      Line line{std::string("repacked ") + (gap == 0 ? "dense " : "gaps ") +
                    (order == ByteOrder::kBig ? "big" : "little"),
                {},
                {},
                0};
      for (std::uint64_t i = 0; i < 4; ++i) {
        const Recording drive = BenchRecording("drive", seed + i, 180);
        Judge(Repack(drive, {order, gap, seed + 10 * i}), settings, line);
      }
      Print(line, settings);
    }
  }
}

// Nothing is known of these but what proves itself.
void JudgeReal(const std::string& dataset, const std::string& file, const Settings& settings) {
  const auto frames = testing::RealFrames(dataset, file);
  if (!frames) return;
  analysis::survey::IdentifierCollector collector;
  for (const Frame& frame : *frames) collector.Add(std::to_string(frame.channel), frame);
  const auto identifiers = collector.Take();
  const auto start = std::chrono::steady_clock::now();
  const auto found = analysis::survey::Survey(identifiers, settings.weights);
  const double seconds =
      std::chrono::duration<double>(std::chrono::steady_clock::now() - start).count();
  int counters = 0, checks = 0, proved = 0, id_and_length = 0, selectors = 0, fields = 0;
  for (const FoundFrame& frame : found) {
    counters += frame.counter ? 1 : 0;
    selectors += frame.selector ? 1 : 0;
    fields += static_cast<int>(frame.fields.size());
    if (!frame.checksum) continue;
    ++checks;
    proved += frame.checksum->proved ? 1 : 0;
    id_and_length += frame.checksum->models.front().id_and_length ? 1 : 0;
    if (!settings.misses) continue;
    const auto& model = frame.checksum->models.front();
    std::printf("    %s check %s %s 0x%X, %zu models, proved %d\n",
                FormatId(frame.id, frame.extended ? kExtendedId : 0).c_str(),
                decoders::FormatLocation(frame.checksum->location).c_str(), model.kind.c_str(),
                model.polynomial, frame.checksum->models.size(), frame.checksum->proved);
  }
  for (const FoundFrame& frame : found) {
    const std::string id = FormatId(frame.id, frame.extended ? kExtendedId : 0);
    if (settings.misses && frame.selector) {
      std::printf("    %s pages %s\n", id.c_str(),
                  decoders::FormatLocation(*frame.selector).c_str());
    }
    if (settings.misses && frame.counter) {
      std::printf("    %s counter %s to %llu\n", id.c_str(),
                  decoders::FormatLocation(frame.counter->location).c_str(),
                  static_cast<unsigned long long>(frame.counter->counts_to));
    }
  }
  std::printf(
      "%-24s %zu frames, %zu identifiers: %d fields, %d counters, %d checksums (%d proved, "
      "%d of id and length), %d with pages, %.2f s\n",
      dataset.c_str(), frames->size(), identifiers.size(), fields, counters, checks, proved,
      id_and_length, selectors, seconds);
}

void JudgeSpeed(const Settings& settings) {
  const Recording recording = BenchRecording("drive", 1, 600);
  std::size_t frames = 0;
  for (const auto& identifier : recording.identifiers) frames += identifier.rows.size();
  const std::clock_t start = std::clock();
  const auto found = analysis::survey::Survey(recording.identifiers, settings.weights);
  rusage use{};
  getrusage(RUSAGE_SELF, &use);
  std::printf("\n%zu frames: %.2f s of one processor, at most %ld MiB for this whole program\n",
              frames, static_cast<double>(std::clock() - start) / CLOCKS_PER_SEC,
              use.ru_maxrss / 1024);
}

void JudgeMeaning(const Settings& settings) {
  const std::uint64_t seed = settings.tune ? 101 : 7;
  for (const int marks : {3, 5}) {
    const MarkScore score = ScoreMarks(seed, marks, 40, 100);
    std::printf(
        "%d marks 0.3 to 1.5 s late: true bit among the first 3 in %d of %d, accepted in %d; "
        "random marks: %d of %d accept anything\n",
        marks, score.first_three, score.draws, score.accepted, score.random_accepted,
        score.random_runs);
  }
  FollowScore follow;
  if (!ScoreFollow(follow)) return;
  std::printf("satellite speed against %d fields, lag %.1f s:", follow.fields, follow.lag);
  for (int i = 0; i < 5; ++i) {
    std::printf(" r2 %.4f scale %.5f%s", follow.r2[i], follow.scale[i],
                follow.known[i] ? "" : " (not a known one)");
  }
  std::printf("; %d of 20 shifted references accepted\n\n", follow.shifted_accepted);
}

int Run(int count, char** words) {
  Settings settings;
  for (int i = 1; i < count; ++i) {
    if (std::strcmp(words[i], "--tune") == 0) {
      settings.tune = true;
    } else if (std::strcmp(words[i], "--misses") == 0) {
      settings.misses = true;
    } else if (std::strcmp(words[i], "--fields") == 0) {
      settings.fields_only = true;
    } else if (std::strcmp(words[i], "--more") == 0) {
      settings.first_seed += 100;
    } else if (std::strcmp(words[i], "--weight") != 0 || ++i == count ||
               !SetWeight(words[i], settings.weights)) {
      std::printf(
          "survey_score [--tune [--more]...] [--misses] [--fields] [--weight NAME=VALUE]...\n");
      return 2;
    }
  }
  if (!settings.fields_only) {
    JudgeSpeed(settings);
    JudgeReal("survey-truck", "drive.csv.gz", settings);
    JudgeReal("survey-car-one", "drive-bus-0.csv.gz", settings);
    JudgeReal("survey-car-two", "short-drive.csv.gz", settings);
    JudgeMeaning(settings);
  }
  std::printf("\n%-28s %6s %6s  %-5s  %-5s  %-11s  %-14s   %-7s  %-7s  %-5s   %s  %s\n",
              "recording", "true", "found", "F1", "Jacc.", "order", "sign (+false)", "counter",
              "check", "pages", "F1 bytes, words, random", "s");
  JudgeBench(settings);
  JudgeRepacked(settings);
  return 0;
}

}  // namespace
}  // namespace proofdrive::survey_tests

int main(int count, char** words) { return proofdrive::survey_tests::Run(count, words); }
