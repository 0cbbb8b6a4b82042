// The verdicts of the commands against what was really so in the (invented) bench vehicle.
#include <gmock/gmock.h>

#include <algorithm>
#include <map>
#include <nlohmann/json.hpp>
#include <sstream>

#include "bench/vehicle.h"
#include "core/base/posix_files.h"
#include "session/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tests/support/places.h"
#include "tools/shell/command.h"

namespace proofdrive {
namespace {

using bench::Vehicle;
using bench::VehicleOptions;
using Json = nlohmann::json;

constexpr char kDefinitions[] = "bramble-seven.yaml";

struct Recorded {
  Json truth;
  Duration length{0};
};

struct Outcome {
  int code = 0;
  std::string out;
  std::string err;
};

// Sessions in memory, made from the simulation itself without the daemon.
class CompareBench : public ::testing::Test {
 protected:
  void SetUp() override {
    PosixFiles disk;
    const auto text =
        ReadWholeFile(disk, testing::SourcePath("decoders/library/bramble-seven.yaml"));
    ASSERT_OK(text);
    definitions_ = *text;
    files_.Put(kDefinitions, {definitions_.begin(), definitions_.end()});
  }

  session::Header HeaderOf(const std::string& name, WallTime start) const {
    session::Header header;
    header.name = name;
    header.started.wall = start;
    for (const auto& [number, bus] : {std::pair(0, "pack"), std::pair(1, "drive")}) {
      session::Channel channel;
      channel.number = static_cast<std::uint8_t>(number);
      channel.bus = bus;
      header.channels.push_back(channel);
    }
    header.definitions = {{kDefinitions, definitions_}};
    return header;
  }

  std::vector<Frame> Simulate(const std::string& scenario, std::uint64_t seed, Recorded& recorded) {
    const auto vehicle = Vehicle::Create({scenario, seed, kStart, 0});
    EXPECT_OK(vehicle);
    std::vector<Frame> frames;
    (*vehicle)->Run((*vehicle)->duration(), frames);
    recorded.truth = Json::parse((*vehicle)->TruthJson());
    recorded.length = (*vehicle)->duration();
    return frames;
  }

  void Write(const std::string& path, std::span<const Frame> frames) {
    auto writer = session::Writer::Create(files_, path, HeaderOf(path, kStart));
    ASSERT_OK(writer);
    ASSERT_OK((*writer)->Append(frames));
    ASSERT_OK((*writer)->Finish());
  }

  Recorded Record(const std::string& scenario, const std::string& path, std::uint64_t seed) {
    Recorded recorded;
    Write(path, Simulate(scenario, seed, recorded));
    return recorded;
  }

  Outcome Run(std::vector<const char*> arguments) {
    arguments.insert(arguments.begin(), "proofdrive");
    std::ostringstream out, err;
    tools::Environment environment{files_, out, err};
    const int code =
        tools::RunTool(static_cast<int>(arguments.size()), arguments.data(), environment);
    return {code, out.str(), err.str()};
  }

  std::map<std::string, std::string> Verdicts(const char* before, const char* after) {
    std::map<std::string, std::string> verdicts;
    const Outcome outcome = Run({"compare", before, after, "--json"});
    const Json document = Json::parse(outcome.out);
    for (const Json& warning : document["warnings"]) {
      verdicts[warning["name"]] = warning["verdict"];
    }
    return verdicts;
  }

  static constexpr WallTime kStart = WallTime(std::chrono::seconds(1'772'366'400));
  testing::MemoryFiles files_;
  std::string definitions_;
};

// Written from the definitions of the verdicts, not from the code that judges.
std::string VerdictFromTruth(const Json& before, const Json& after) {
  if (!after["evidence"].get<bool>()) return "no evidence";
  const auto& set = after["set"];
  const bool was_on = !before["set"].empty();
  if (!set.empty()) {
    if (!was_on && before["evidence"].get<bool>()) return "new";
    // A warning that was there all along is set after its own delay, 5 s at most. Air in the loop
    // shows later, when the pump has been started: until then the warning was off.
    const bool from_the_start = set[0]["from_s"].get<double>() < 5.9;
    if (set.size() > 1 || !from_the_start) return was_on ? "came back" : "new";
    if (after["on_at_end"].get<bool>()) return "still on";
  }
  if (!was_on && set.empty()) return "off in both";
  return after["proven"].get<bool>() ? "cleared" : "not proven";
}

std::map<std::string, std::string> VerdictsFromTruth(const Json& before, const Json& after) {
  std::map<std::string, std::string> verdicts;
  for (const auto& [name, truth] : after["warnings"].items()) {
    verdicts[name] = VerdictFromTruth(before["warnings"][name], truth);
  }
  return verdicts;
}

TEST_F(CompareBench, VerdictsAreThoseOfTheTruth) {
  for (const char* scenario : {"repaired", "repaired-air-trapped", "drive"}) {
    for (const std::uint64_t seed : {1U, 7U}) {
      SCOPED_TRACE(std::string(scenario) + " seed " + std::to_string(seed));
      const std::string before =
          "before" + std::string(scenario) + std::to_string(seed) + ".session";
      const std::string after = scenario + std::to_string(seed) + ".session";
      const Recorded was = Record("coolant-leak", before, seed);
      const Recorded is = Record(scenario, after, seed);
      EXPECT_EQ(Verdicts(before.c_str(), after.c_str()), VerdictsFromTruth(was.truth, is.truth));
    }
  }
}

TEST_F(CompareBench, RepairedStoryHasEveryKindOfVerdictItWasMadeFor) {
  Record("coolant-leak", "before.session", 1);
  Record("repaired", "after.session", 1);
  const auto verdicts = Verdicts("before.session", "after.session");
  EXPECT_EQ(verdicts.at("coolant_air"), "not proven");        // pump high for 12 s only
  EXPECT_EQ(verdicts.at("moisture_in_pack"), "no evidence");  // its sensor was not plugged in
  EXPECT_EQ(verdicts.at("interlock_open"), "came back");      // a connector was touched
  EXPECT_EQ(verdicts.at("crash_latched"), "cleared");
  EXPECT_EQ(verdicts.at("range_withheld"), "still on");  // nobody has driven yet
  const Outcome outcome = Run({"compare", "before.session", "after.session", "--json"});
  EXPECT_EQ(outcome.code, 1);
  EXPECT_THAT(outcome.out,
              ::testing::HasSubstr("needs coolant_pump == high for 60 s, reached 12 s"));
}

TEST_F(CompareBench, TwoHalvesOfOneRecordingHaveTheSameTraffic) {
  for (const std::uint64_t seed : {1U, 2U, 3U}) {
    SCOPED_TRACE(seed);
    Recorded recorded;
    const std::vector<Frame> frames = Simulate("repaired-air-trapped", seed, recorded);
    const auto middle =
        std::lower_bound(frames.begin(), frames.end(), kStart + recorded.length / 2,
                         [](const Frame& frame, WallTime time) { return frame.time < time; });
    const std::string name = std::to_string(seed);
    Write("first" + name + ".session", {frames.begin(), middle});
    Write("second" + name + ".session", {middle, frames.end()});
    const Outcome outcome = Run({"compare", ("first" + name + ".session").c_str(),
                                 ("second" + name + ".session").c_str(), "--json"});
    const Json traffic = Json::parse(outcome.out)["traffic"];
    for (const auto& [kind, list] : traffic.items()) {
      if (kind == "buses") continue;
      EXPECT_EQ(list, Json::array()) << kind;
    }
    for (const Json& bus : traffic["buses"]) EXPECT_EQ(bus["changed"], Json::array()) << bus;
  }
}

TEST_F(CompareBench, UpdateShowsInTheTraffic) {
  const Recorded was = Record("repaired-air-trapped", "before.session", 1);
  const Recorded is = Record("updated", "after.session", 1);
  const Outcome outcome = Run({"compare", "before.session", "after.session", "--json"});
  const Json traffic = Json::parse(outcome.out)["traffic"];
  const auto ids = [](const Json& list) {
    std::vector<std::string> all;
    for (const Json& one : list)
      all.push_back(one["bus"].get<std::string>() + " " + one["id"].get<std::string>());
    std::sort(all.begin(), all.end());
    return all;
  };
  const auto of_truth = [](const Json& frames) {
    std::vector<std::string> all;
    for (const Json& one : frames)
      all.push_back(one["bus"].get<std::string>() + " " + one["id"].get<std::string>());
    std::sort(all.begin(), all.end());
    return all;
  };
  const auto old_ids = of_truth(was.truth["frames"]);
  const auto new_ids = of_truth(is.truth["frames"]);
  std::vector<std::string> gone, come;
  std::set_difference(old_ids.begin(), old_ids.end(), new_ids.begin(), new_ids.end(),
                      std::back_inserter(gone));
  std::set_difference(new_ids.begin(), new_ids.end(), old_ids.begin(), old_ids.end(),
                      std::back_inserter(come));
  ASSERT_FALSE(gone.empty());
  ASSERT_FALSE(come.empty());
  EXPECT_EQ(ids(traffic["only_before"]), gone);
  EXPECT_EQ(ids(traffic["only_after"]), come);
  ASSERT_EQ(traffic["period"].size(), 1U) << traffic["period"];
  EXPECT_EQ(traffic["period"][0]["frame"], "pack_limits");
  EXPECT_NEAR(traffic["period"][0]["after_ms"].get<double>(), 200, 5);
}

// The rule of wording: results say what was seen, never that something is harmless.
TEST_F(CompareBench, NoCommandEverSaysSafe) {
  Record("coolant-leak", "before.session", 1);
  Record("repaired", "after.session", 1);
  const std::vector<std::vector<const char*>> commands = {
      {"compare", "before.session", "after.session"},
      {"compare", "before.session", "after.session", "--json"},
      {"compare", "after.session", "after.session"},
      {"decode", "after.session"},
      {"decode", "after.session", "--format", "csv", "--to", "1"},
      {"info", "after.session"},
      {"check", "before.session"},
      {"check", "after.session", "--all"},
      {"check", "before.session", "--json"},
      {"check", "--help"},
      {"verify", "after.session"},
      {"lint", kDefinitions},
      {"lint", kDefinitions, "--against", "before.session"},
      {"--help"},
      {"compare", "--help"},
      {"decode", "--help"},
      {"lint", "--help"},
  };
  for (const auto& command : commands) {
    const Outcome outcome = Run(command);
    std::string text = outcome.out + outcome.err;
    EXPECT_GT(text.size(), 20U) << command[0];
    std::transform(text.begin(), text.end(), text.begin(),
                   [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
    EXPECT_EQ(text.find("safe"), std::string::npos) << command[0] << ": " << text;
  }
}

}  // namespace
}  // namespace proofdrive
