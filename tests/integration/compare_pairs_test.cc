// Generated pairs of sessions with a known truth: every verdict must equal it.
//
// An invented car has twelve warnings and eight control units with a trouble code each. For each, a
// story is drawn: what was wrong, what was
// repaired, what the second recording put to the test. The story says the verdict, in the words of
// docs/verdicts.md and without the code that judges. A few pairs by default; all 200 with
// PROOFDRIVE_PAIRS=200.
#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <cstdlib>
#include <iostream>
#include <map>
#include <nlohmann/json.hpp>
#include <random>
#include <sstream>

#include "session/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tools/shell/command.h"

namespace proofdrive {
namespace {

constexpr int kWarnings = 12;
constexpr double kLength = 120;  // s
constexpr double kProof = 20;    // s, asked by every warning

using Random = std::mt19937_64;

double Between(Random& random, double low, double high) {
  return std::uniform_real_distribution<double>(low, high)(random);
}

struct Stretch {
  double from = 0, to = 0;
  bool Has(double t) const { return t >= from && t < to; }
};

// What one frame says in one session.
struct Script {
  std::vector<Stretch> on;
  std::vector<Stretch> exercised;
  double silent_from = kLength + 1;
};

struct Story {
  const char* name;
  const char* verdict;
  void (*write)(Random& random, Script& before, Script& after);
};

const Stretch kAlways{0, kLength};

// Long enough for `on after` and `off after`, and away from the ends.
Stretch Somewhere(Random& random, double low, double high) {
  const double from = Between(random, low, high - 12);
  return {from, from + Between(random, 5, 12)};
}

const std::array<Story, 12> kStories = {{
    {"repaired and put to the test", "cleared",
     [](Random& r, Script& before, Script& after) {
       before.on = {kAlways};
       const double from = Between(r, 5, 60);
       after.exercised = {{from, from + Between(r, kProof + 2, 50)}};
     }},
    {"repaired, came and went before", "cleared",
     [](Random& r, Script& before, Script& after) {
       before.on = {Somewhere(r, 5, 50), Somewhere(r, 60, 110)};
       after.exercised = {{10, 10 + kProof + 2}};
     }},
    {"repaired, not put to the test long enough", "not proven",
     [](Random& r, Script& before, Script& after) {
       before.on = {kAlways};
       const double from = Between(r, 5, 40);
       after.exercised = {{from, from + Between(r, 0, kProof - 2)},
                          {80, 80 + Between(r, 0, kProof - 2)}};
     }},
    {"repaired, never put to the test", "not proven",
     [](Random&, Script& before, Script&) { before.on = {kAlways}; }},
    {"not repaired", "still on",
     [](Random&, Script& before, Script& after) {
       before.on = after.on = {kAlways};
       after.exercised = {kAlways};
     }},
    {"intermittent", "came back",
     [](Random& r, Script& before, Script& after) {
       before.on = {Somewhere(r, 5, 100)};
       after.on = {Somewhere(r, 40, 100)};
       after.exercised = {kAlways};
     }},
    {"intermittent and on at the end", "came back",
     [](Random& r, Script& before, Script& after) {
       before.on = {kAlways};
       after.on = {{Between(r, 30, 100), kLength}};
       after.exercised = {kAlways};
     }},
    {"silenced", "no evidence",
     [](Random&, Script& before, Script& after) {
       before.on = {kAlways};
       after.silent_from = 0;
     }},
    {"falls silent after it was put to the test", "no evidence",
     [](Random& r, Script& before, Script& after) {
       before.on = {kAlways};
       after.exercised = {kAlways};
       after.silent_from = Between(r, 40, 100);
     }},
    {"new", "new", [](Random& r, Script&, Script& after) { after.on = {Somewhere(r, 10, 110)}; }},
    {"latched at first, then put to the test", "cleared",
     [](Random& r, Script& before, Script& after) {
       before.on = {kAlways};
       after.on = {{0, Between(r, 10, 40)}};
       after.exercised = {{60, 60 + kProof + 5}};
     }},
    {"put to the test only while still on", "not proven",
     [](Random& r, Script& before, Script& after) {
       before.on = {kAlways};
       after.on = {{0, Between(r, 40, 60)}};
       after.exercised = {{2, 38}};
     }},
}};

constexpr int kUnits = 8;

// What somebody with a tester heard from one unit in one session, twice: at kFirstRound and
// kSecondRound. Bytes of a status; the others are not a status.
constexpr double kFirstRound = 10, kSecondRound = 100;
enum Heard { kNotAsked = -1, kNoAnswer = -2, kLeftOut = -3, kNotKnown = -4 };
struct UnitScript {
  int first = 0;
  int second = 0;
  std::uint8_t available = 0xFF;
};

struct CodeStory {
  const char* name;
  const char* verdict;
  UnitScript before;
  UnitScript after;
};

// Status bytes of ISO 14229-1 Annex D.2.
constexpr std::array<CodeStory, 17> kCodeStories = {{
    {"code: repaired, cleared and tested", "cleared", {0x2F, 0x2F}, {0x50, 0x00}},
    {"code: cleared and tested while recording", "cleared", {0x2F, 0xAF}, {0x2F, 0x00}},
    {"code: cleared, not exercised", "not proven", {0x2F, 0x2F}, {0x50, 0x50}},
    {"code: passed once, not in this cycle", "not proven", {0x09, 0x09}, {0x40, 0x40}},
    {"code: not repaired", "still on", {0x2F, 0x2F}, {0x2F, 0xAF}},
    {"code: pending", "still on", {0x2F, 0x2F}, {0x24, 0x24}},
    {"code: stored, passed", "still on", {0x2F, 0x2F}, {0x28, 0x28}},
    {"code: stored, not tested again", "still on", {0x2F, 0x2F}, {0x68, 0x68}},
    {"code: intermittent", "came back", {0x2F, 0x2F}, {0x50, 0x2F}},
    {"code: intermittent, passed at last", "not proven", {0x2F, 0x2F}, {0x50, 0x20}},
    {"code: unit silenced", "no evidence", {0x2F, 0x2F}, {kNoAnswer, kNoAnswer}},
    {"code: unit falls silent", "no evidence", {0x2F, 0x2F}, {0x00, kNoAnswer}},
    {"code: nobody asked after", "no evidence", {0x2F, 0x2F}, {kNotAsked, kNotAsked}},
    {"code: left out of the list", "not proven", {0x2F, 0x2F}, {kLeftOut, kLeftOut}},
    {"code: no longer known to the unit", "no evidence", {0x2F, 0x2F}, {kNotKnown, kNotKnown}},
    {"code: status bits not supported", "not proven", {0x0F, 0x0F, 0x0F}, {0x00, 0x00, 0x0F}},
    {"code: new", "new", {0x00, 0x40}, {0x00, 0x2F}},
}};

std::string CodeName(std::size_t unit) { return "P0A0" + std::to_string(unit) + "-11"; }

void AddMessage(std::vector<Frame>& frames, double at, std::uint32_t id,
                std::vector<std::uint8_t> bytes) {
  Frame frame;
  frame.time = WallTime(std::chrono::seconds(1'772'366'400)) + FromSeconds(at);
  frame.id = id;
  frame.length = 8;
  frame.data[0] = static_cast<std::uint8_t>(bytes.size());
  std::copy(bytes.begin(), bytes.end(), frame.data.begin() + 1);
  frames.push_back(frame);
}

// One question for a list (19 02 or 19 0A) and its answer.
void AddQuestion(std::vector<Frame>& frames, double at, std::size_t unit, std::uint8_t report,
                 int heard, std::uint8_t available) {
  const auto request = static_cast<std::uint32_t>(0x7E0 + unit);
  std::vector<std::uint8_t> question = {0x19, report};
  if (report == 0x02) question.push_back(0xFF);
  AddMessage(frames, at, request, question);
  if (heard == kNoAnswer) return;
  std::vector<std::uint8_t> answer = {0x59, report, available};
  const bool listed = heard >= 0 && (report == 0x0A || (heard & available) != 0);
  if (listed) {
    answer.insert(answer.end(),
                  {0x0A, static_cast<std::uint8_t>(unit), 0x11, static_cast<std::uint8_t>(heard)});
  }
  AddMessage(frames, at + 0.03, request + 8, answer);
}

void AddCodes(std::vector<Frame>& frames, const std::array<UnitScript, kUnits>& scripts) {
  for (std::size_t unit = 0; unit < scripts.size(); ++unit) {
    const UnitScript& script = scripts[unit];
    for (const auto& [time, heard] :
         {std::pair(kFirstRound, script.first), std::pair(kSecondRound, script.second)}) {
      if (heard == kNotAsked) continue;
      const double at = time + 0.2 * static_cast<double>(unit) + 0.0501;
      AddQuestion(frames, at, unit, 0x02, heard, script.available);
      if (heard != kLeftOut) AddQuestion(frames, at + 0.1, unit, 0x0A, heard, script.available);
    }
  }
}

std::string Definitions() {
  std::string frames, warnings;
  for (int i = 0; i < kWarnings; ++i) {
    const std::string n = std::to_string(i);
    frames += "  unit_" + n + ": {bus: body, id: " + std::to_string(0x100 + i) +
              ", every: 100 ms, length: 2, signals: {lamp_" + n +
              ": {where: byte 0 bit 0, states: {0: off, 1: on}}, test_" + n +
              ": {where: byte 1 bit 0, states: {0: no, 1: yes}}}}\n";
    warnings += "  fault_" + n + ": {text: Fault " + n + ", when: \"lamp_" + n +
                " == on\", on after: 1 s, off after: 1 s, severity: soon, proven by: {condition: "
                "\"test_" +
                n + " == yes\", for: " + std::to_string(static_cast<int>(kProof)) + " s}}\n";
  }
  return "vehicle: Test wagon (invented)\nbuses: {body: {bitrate: 500000}}\nframes:\n" + frames +
         "warnings:\n" + warnings;
}

bool Any(const std::vector<Stretch>& stretches, double t) {
  for (const Stretch& one : stretches) {
    if (one.Has(t)) return true;
  }
  return false;
}

void WriteSession(Files& files, const std::string& path, const std::string& definitions,
                  const std::array<Script, kWarnings>& scripts,
                  const std::array<UnitScript, kUnits>& units, Random& random) {
  session::Header header;
  header.channels.resize(1);
  header.channels[0].bus = "body";
  header.definitions = {{"d.yaml", definitions}};
  auto writer = session::Writer::Create(files, path, header);
  ASSERT_OK(writer);
  std::vector<Frame> frames;
  for (double t = 0; t < kLength; t += 0.1) {
    for (std::size_t i = 0; i < scripts.size(); ++i) {
      if (t >= scripts[i].silent_from) continue;
      Frame frame;
      frame.id = static_cast<std::uint32_t>(0x100 + i);
      frame.length = 2;
      frame.time = WallTime(std::chrono::seconds(1'772'366'400)) +
                   FromSeconds(t + 0.001 * static_cast<double>(i) + Between(random, 0, 5e-4));
      frame.data[0] = Any(scripts[i].on, t) ? 1 : 0;
      frame.data[1] = Any(scripts[i].exercised, t) ? 1 : 0;
      frames.push_back(frame);
    }
  }
  AddCodes(frames, units);
  std::stable_sort(frames.begin(), frames.end(),
                   [](const Frame& a, const Frame& b) { return a.time < b.time; });
  ASSERT_OK((*writer)->Append(frames));
  ASSERT_OK((*writer)->Finish());
}

int Pairs() {
  const char* asked = std::getenv("PROOFDRIVE_PAIRS");
  return asked == nullptr ? 4 : std::max(1, std::atoi(asked));
}

struct Tally {
  int right = 0;
  std::map<std::string, int> wrong;
};

std::map<std::string, std::string> Verdicts(Files& files) {
  const char* arguments[] = {"proofdrive", "compare", "a.session", "b.session", "--json"};
  std::ostringstream out, err;
  tools::Environment environment{files, out, err};
  tools::RunTool(5, arguments, environment);
  EXPECT_NE(out.str(), "") << err.str();
  if (out.str().empty()) return {};
  std::map<std::string, std::string> verdicts;
  const auto document = nlohmann::json::parse(out.str());
  for (const auto& one : document["warnings"]) {
    verdicts[one["name"]] = one["verdict"];
  }
  return verdicts;
}

class Score {
 public:
  void Add(int pair, const char* story, const std::string& said, const char* truth) {
    Tally& tally = table_[story];
    ++all_;
    if (said == truth) {
      ++tally.right;
      return;
    }
    ++tally.wrong[said];
    if (said == "cleared") ++falsely_cleared_;
    ADD_FAILURE() << "pair " << pair << ", " << story << ": " << said << " instead of " << truth;
  }
  void Print() const {
    for (const auto& [story, tally] : table_) {
      std::cout << "  " << story << ": " << tally.right << " right";
      for (const auto& [verdict, count] : tally.wrong) std::cout << ", " << count << " " << verdict;
      std::cout << "\n";
    }
    std::cout << "  " << Pairs() << " pairs, " << all_ << " verdicts, " << falsely_cleared_
              << " falsely cleared\n";
  }
  int falsely_cleared() const { return falsely_cleared_; }

 private:
  std::map<std::string, Tally> table_;
  int all_ = 0;
  int falsely_cleared_ = 0;
};

TEST(ComparePairs, EveryVerdictIsTheTruth) {
  const std::string definitions = Definitions();
  Score score;
  for (int seed = 1; seed <= Pairs(); ++seed) {
    Random random(static_cast<std::uint64_t>(seed));
    std::array<Script, kWarnings> before, after;
    std::array<const Story*, kWarnings> stories{};
    for (std::size_t i = 0; i < kWarnings; ++i) {
      stories[i] = &kStories[random() % kStories.size()];
      stories[i]->write(random, before[i], after[i]);
    }
    std::array<UnitScript, kUnits> units_before, units_after;
    std::array<const CodeStory*, kUnits> code_stories{};
    for (std::size_t i = 0; i < kUnits; ++i) {
      code_stories[i] = &kCodeStories[random() % kCodeStories.size()];
      units_before[i] = code_stories[i]->before;
      units_after[i] = code_stories[i]->after;
    }
    testing::MemoryFiles files;
    ASSERT_NO_FATAL_FAILURE(
        WriteSession(files, "a.session", definitions, before, units_before, random));
    ASSERT_NO_FATAL_FAILURE(
        WriteSession(files, "b.session", definitions, after, units_after, random));
    const auto verdicts = Verdicts(files);
    for (std::size_t i = 0; i < kWarnings; ++i) {
      score.Add(seed, stories[i]->name, verdicts.at("fault_" + std::to_string(i)),
                stories[i]->verdict);
    }
    for (std::size_t i = 0; i < kUnits; ++i) {
      score.Add(seed, code_stories[i]->name, verdicts.at(CodeName(i)), code_stories[i]->verdict);
    }
  }
  score.Print();
  EXPECT_EQ(score.falsely_cleared(), 0);
}

}  // namespace
}  // namespace proofdrive
