// Every check against the (invented) bench vehicle: a fault must be found, what only looks like it
// and a healthy car must not. With the settings as they come, as the commands of docs/checks.md do:
// what is known of the bench vehicle is stated in its definition file. One seed by default;
// PROOFDRIVE_CHECK_SEEDS=50 runs every case with 50 and prints how many were right, and then makes
// each fault smaller and smaller.
#include <gmock/gmock.h>

#include <cstdio>
#include <cstdlib>
#include <functional>
#include <set>
#include <span>

#include "analysis/checks/checks.h"
#include "bench/scenarios/scenarios.h"
#include "bench/vehicle.h"
#include "core/base/posix_files.h"
#include "core/base/text.h"
#include "session/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tests/support/places.h"

namespace proofdrive {
namespace {

using analysis::CheckResult;
using analysis::CheckSettings;
using analysis::CheckStatus;
using bench::FindScenario;
using bench::Scenario;
using bench::Vehicle;

struct Case {
  const char* scenario;
  const char* check;
  // Statuses that are right.
  std::set<CheckStatus> right;
  // Must be said somewhere; empty = nothing in particular.
  const char* says = "";
};

const std::set<CheckStatus> kFound = {CheckStatus::kLookCloser, CheckStatus::kOutside};
const std::set<CheckStatus> kOut = {CheckStatus::kOutside};
const std::set<CheckStatus> kLook = {CheckStatus::kLookCloser};
const std::set<CheckStatus> kQuiet = {CheckStatus::kWithin};
const std::set<CheckStatus> kCannot = {CheckStatus::kCannotTell};
const std::set<CheckStatus> kNotAlarmed = {CheckStatus::kWithin, CheckStatus::kCannotTell};

const Case kCases[] = {
    {"signals-fault", "signals", kLook, "the sign of pack_current is wrong"},
    {"signals-fault", "signals", kLook, "cell_voltage[31] never changes"},
    {"signals-alike", "signals", kQuiet},
    {"signals-healthy", "signals", kQuiet},
    {"insulation-fault", "insulation", kOut, "near cell 4"},
    {"insulation-alike", "insulation", kQuiet},
    {"insulation-healthy", "insulation", kQuiet},
    {"cooling-fault", "cooling", kFound, "air"},
    {"cooling-alike", "cooling", kQuiet},
    {"cooling-healthy", "cooling", kQuiet},
    {"cooling-blocked", "cooling", kFound, "restricted flow"},
    {"cooling-heat", "cooling", kNotAlarmed, "heat and temperatures imply"},
    {"cooling-self-heating", "cooling", kOut, "without any current"},
    {"balance-fault", "balance", kLook, "are low together"},
    {"balance-alike", "balance", kQuiet},
    {"balance-healthy", "balance", kQuiet},
    {"balance-sense", "balance", kLook, "the sense lead between them"},
    {"resistance-fault", "resistance", kOut, "cell 21 has"},
    {"resistance-alike", "resistance", kQuiet},
    {"resistance-healthy", "resistance", kQuiet},
    {"resistance-joint", "resistance", kLook, "a loose or corroded joint"},
    {"contactors-fault", "contactors", kOut, "both poles are closed (welded)"},
    {"contactors-alike", "contactors", kQuiet, "a passive discharge"},
    {"contactors-healthy", "contactors", kQuiet},
    {"contactors-load", "precharge", kOut, "did not end in closing"},
    {"contactors-pole", "precharge", kLook, "one pole welded"},
    // Two rests of an hour would make it a recording of hours: see the settings of short rests.
    {"capacity-fault", "capacity", kCannot, "two rests of"},
    {"capacity-alike", "capacity", kCannot, "two rests of"},
    {"capacity-healthy", "capacity", kCannot, "two rests of"},
    {"supply-fault", "supply", kLook, "the converter did not support it"},
    {"supply-alike", "supply", kQuiet},
    {"supply-healthy", "supply", kQuiet},
    {"range-fault", "range", kLook, "the history of consumption is missing"},
    {"range-alike", "range", kQuiet},
    {"range-healthy", "range", kQuiet},
    {"capacity-alike", "range", kLook, "the energy left says"},
    {"interlock-fault", "interlock", kLook, "before the contactors did"},
    {"interlock-alike", "interlock", kQuiet, "with the contactors open already"},
    {"interlock-healthy", "interlock", kQuiet},
    {"standby-fault", "standby", kCannot, "the car standing for"},
    {"standby-alike", "standby", kNotAlarmed},
    {"standby-healthy", "standby", kNotAlarmed},
};

// The same recordings with what an owner may set for short rests, and docs/checks.md names.
constexpr const char* kShortRests[] = {"rest.hours=0.03", "standby.hours=0.05"};
const Case kShortCases[] = {
    {"capacity-fault", "capacity", kFound, "of what it held when new"},
    {"capacity-alike", "capacity", kQuiet},
    {"capacity-healthy", "capacity", kQuiet},
    {"capacity-alike", "range", kLook, "the rested voltage says"},
    // What still settles after parking is as much as the load takes in so short a pause.
    {"standby-fault", "standby", kCannot, "a longer pause"},
};

std::string Everything(const CheckResult& result) {
  std::string text = result.summary;
  for (const std::string& line : result.findings) text += "\n" + line;
  for (const std::string& line : result.missing) text += "\nmissing: " + line;
  return text;
}

class ChecksBench : public ::testing::Test {
 protected:
  void SetUp() override {
    PosixFiles disk;
    const auto text =
        ReadWholeFile(disk, testing::SourcePath("decoders/library/bramble-seven.yaml"));
    ASSERT_OK(text);
    definitions_ = *text;
  }

  std::vector<CheckResult> Check(const std::string& name, std::uint64_t seed) {
    const Scenario* scenario = FindScenario(name);
    EXPECT_NE(scenario, nullptr) << name;
    return scenario == nullptr ? std::vector<CheckResult>() : Check(*scenario, seed);
  }

  std::vector<CheckResult> Check(const Scenario& scenario, std::uint64_t seed) {
    const auto vehicle = Vehicle::Create(scenario, {"", seed, kStart, 0});
    std::vector<Frame> frames;
    vehicle->Run(vehicle->duration(), frames);
    session::Header header;
    for (const auto& [number, bus] : {std::pair(0, "pack"), std::pair(1, "drive")}) {
      session::Channel channel;
      channel.number = static_cast<std::uint8_t>(number);
      channel.bus = bus;
      header.channels.push_back(channel);
    }
    header.definitions = {{"bramble-seven.yaml", definitions_}};
    testing::MemoryFiles files;
    auto writer = session::Writer::Create(files, "one.session", header);
    EXPECT_OK(writer);
    EXPECT_OK((*writer)->Append(frames));
    EXPECT_OK((*writer)->Finish());
    const auto reader = session::Reader::Open(files, "one.session");
    EXPECT_OK(reader);
    const auto set = analysis::DefinitionsFor(files, {}, (*reader)->header());
    const auto results = analysis::RunChecks(**reader, set, settings_);
    EXPECT_OK(results);
    return results.ok() ? *results : std::vector<CheckResult>();
  }

  // Counts the right answers of every seed.
  void Try(std::span<const Case> cases);

  static const CheckResult& Named(const std::vector<CheckResult>& results,
                                  const std::string& check) {
    static const CheckResult kNone;
    for (const CheckResult& result : results) {
      if (result.name == check) return result;
    }
    return kNone;
  }

  static constexpr WallTime kStart = WallTime(std::chrono::seconds(1'772'366'400));
  std::string definitions_;
  CheckSettings settings_;
};

std::uint64_t Seeds() {
  const char* set = std::getenv("PROOFDRIVE_CHECK_SEEDS");
  return set == nullptr ? 1 : static_cast<std::uint64_t>(std::atoi(set));
}

void ChecksBench::Try(std::span<const Case> cases) {
  std::string scenario;
  std::vector<std::vector<CheckResult>> by_seed;
  for (const Case& one : cases) {
    if (scenario != one.scenario) {
      scenario = one.scenario;
      by_seed.clear();
      for (std::uint64_t seed = 1; seed <= Seeds(); ++seed)
        by_seed.push_back(Check(scenario, seed));
    }
    std::size_t right = 0;
    for (std::size_t seed = 0; seed < by_seed.size(); ++seed) {
      const CheckResult& result = Named(by_seed[seed], one.check);
      const std::string text = Everything(result);
      const bool as_wanted =
          one.right.contains(result.status) && text.find(one.says) != std::string::npos;
      right += as_wanted ? 1 : 0;
      EXPECT_TRUE(as_wanted) << one.scenario << " seed " << seed + 1 << ": "
                             << CheckStatusName(result.status) << "\n"
                             << text;
    }
    std::printf("%-22s %-12s %zu of %zu right  %s\n", one.scenario, one.check, right,
                by_seed.size(), one.says);
  }
}

TEST_F(ChecksBench, EveryCase) { Try(kCases); }

TEST_F(ChecksBench, EveryCaseOfShortRests) {
  for (const char* setting : kShortRests) ASSERT_OK(settings_.Set(setting));
  Try(kShortCases);
}

// A fault whose size can be chosen, largest first.
struct Sweep {
  const char* scenario;
  const char* check;
  const char* unit;
  std::vector<double> sizes;
  std::function<void(Scenario&, double)> set;
  const char* says;
};

const std::vector<Sweep>& Sweeps() {
  static const std::vector<Sweep> list = {
      {"insulation-fault",
       "insulation",
       "ml of coolant in the pack",
       {45, 20, 10, 6, 4, 3},
       [](Scenario& s, double ml) { s.insulation.wet_ml = ml; },
       "ohm/V is"},
      {"cooling-fault",
       "cooling",
       "l of air",
       {1.3, 0.8, 0.5, 0.3, 0.2},
       [](Scenario& s, double litres) {
         s.coolant.litres = 5.72 - litres;
         s.coolant.air_litres = litres;
       },
       "air"},
      {"cooling-blocked",
       "cooling",
       "of the flow blocked",
       {0.8, 0.5, 0.35, 0.2},
       [](Scenario& s, double share) { s.coolant.blocked = share; },
       "restrict"},
      {"cooling-self-heating",
       "cooling",
       "K/min at one place",
       {0.8, 0.5, 0.3, 0.2},
       [](Scenario& s, double rate) { s.defects.hot.kelvin_per_minute = rate; },
       "without any current"},
      {"balance-fault",
       "balance",
       "of the charge of four cells",
       {0.06, 0.04, 0.03, 0.02, 0.01},
       [](Scenario& s, double share) { s.drain.deficit = share; },
       "cells differ by"},
      {"balance-sense",
       "balance",
       "V between two sense lines",
       {0.03, 0.02, 0.01, 0.006},
       [](Scenario& s, double volt) { s.defects.sender.sense_v = volt; },
       "the sense lead"},
      {"resistance-fault",
       "resistance",
       "x resistance of one cell",
       {2, 1.6, 1.45, 1.3, 1.2},
       [](Scenario& s, double factor) {
         s.defects.cell.ohm_factor = factor;
         s.defects.cell.capacity_factor = 1 / factor;
       },
       "cell 21 has"},
      {"resistance-joint",
       "resistance",
       "ohm of a joint",
       {0.03, 0.02, 0.015, 0.01},
       [](Scenario& s, double ohm) { s.defects.joint_ohm = ohm; },
       "loose or corroded joint"},
      {"capacity-fault",
       "capacity",
       "of the capacity when new",
       {0.65, 0.7, 0.75, 0.8, 0.85},
       [](Scenario& s, double share) { s.defects.capacity_factor = share; },
       "of what it held"},
      {"standby-fault",
       "standby",
       "A while parked",
       {2.5, 1.5, 0.8, 0.4},
       [](Scenario& s, double amps) { s.defects.parked_a = amps; },
       "standing takes"},
  };
  return list;
}

// Prints how often each size is found; the largest must be, always.
TEST_F(ChecksBench, SmallestFaultFound) {
  if (Seeds() < 2) GTEST_SKIP() << "measures; set PROOFDRIVE_CHECK_SEEDS";
  for (const char* setting : kShortRests) ASSERT_OK(settings_.Set(setting));
  for (const Sweep& sweep : Sweeps()) {
    Scenario scenario = *FindScenario(sweep.scenario);
    for (const double size : sweep.sizes) {
      sweep.set(scenario, size);
      std::uint64_t found = 0;
      for (std::uint64_t seed = 1; seed <= Seeds(); ++seed) {
        const auto results = Check(scenario, seed);
        const CheckResult& result = Named(results, sweep.check);
        const bool said = Everything(result).find(sweep.says) != std::string::npos;
        if (said && kFound.contains(result.status)) ++found;
      }
      std::printf("%-22s %7g %-28s found in %2d of %2d\n", sweep.scenario, size, sweep.unit,
                  static_cast<int>(found), static_cast<int>(Seeds()));
      std::fflush(stdout);
      if (size == sweep.sizes.front()) {
        EXPECT_EQ(found, Seeds()) << sweep.scenario;
      }
    }
  }
}

}  // namespace
}  // namespace proofdrive
