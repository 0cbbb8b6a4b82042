// Trouble codes and versions of the (invented) bench vehicle's control units, compared: a tester
// asks while the car is recorded, codes are cleared, a unit falls silent, software is updated.
#include <gmock/gmock.h>

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
using Json = nlohmann::json;
using ::testing::HasSubstr;
using ::testing::Pair;
using ::testing::UnorderedElementsAre;

constexpr WallTime kStart = WallTime(std::chrono::seconds(1'772'366'400));

struct Unit {
  std::uint8_t channel;
  std::uint32_t request;
};
constexpr Unit kPack{0, 0x7E5}, kInverter{1, 0x7E1}, kCluster{1, 0x7E6};

// Somebody with a tester: sends single frames and flow control.
class Tester {
 public:
  explicit Tester(const std::string& scenario) {
    auto vehicle = Vehicle::Create({scenario, 1, kStart, 0});
    EXPECT_OK(vehicle);
    vehicle_ = std::move(*vehicle);
  }

  void Until(double seconds) {
    while (now_ < FromSeconds(seconds) && !over_) {
      now_ += std::chrono::milliseconds(10);
      const std::size_t first = frames_.size();
      over_ = !vehicle_->Run(now_, frames_);
      for (std::size_t i = first; i < frames_.size(); ++i) Follow(frames_[i]);
    }
  }
  void Ask(const Unit& unit, std::initializer_list<std::uint8_t> request) {
    Frame frame = To(unit);
    frame.data[0] = static_cast<std::uint8_t>(request.size());
    std::copy(request.begin(), request.end(), frame.data.begin() + 1);
    vehicle_->Inject(frame);
    Until(ToSeconds(now_) + 2.5);
  }
  void AskCodes() {
    for (const Unit& unit : {kPack, kInverter, kCluster}) {
      Ask(unit, {0x3E, 0x00});
      Ask(unit, {0x19, 0x02, 0xFF});
      Ask(unit, {0x19, 0x0A});
    }
  }
  void AskVersions() {
    for (const Unit& unit : {kPack, kInverter, kCluster}) {
      for (const std::uint8_t low : {std::uint8_t{0x8C}, std::uint8_t{0x95}}) {
        Ask(unit, {0x22, 0xF1, low});
      }
    }
  }
  void Clear() {
    for (const Unit& unit : {kPack, kInverter, kCluster}) Ask(unit, {0x14, 0xFF, 0xFF, 0xFF});
  }
  // Recording ends now.
  std::vector<Frame> Stop() { return std::move(frames_); }

 private:
  static Frame To(const Unit& unit) {
    Frame frame;
    frame.channel = unit.channel;
    frame.id = unit.request;
    frame.length = 8;
    return frame;
  }
  void Follow(const Frame& frame) {
    if (frame.id < 0x7E8 || frame.id > 0x7EF || frame.data[0] >> 4 != 1) return;
    Frame go_on = To({frame.channel, frame.id - 8});
    go_on.data[0] = 0x30;
    vehicle_->Inject(go_on);
  }

  std::unique_ptr<Vehicle> vehicle_;
  Duration now_{0};
  bool over_ = false;
  std::vector<Frame> frames_;
};

class CompareCodes : public ::testing::Test {
 protected:
  void Write(const std::string& path, std::span<const Frame> frames) {
    session::Header header;
    header.name = path;
    for (const auto& [number, bus] : {std::pair(0, "pack"), std::pair(1, "drive")}) {
      session::Channel channel;
      channel.number = static_cast<std::uint8_t>(number);
      channel.bus = bus;
      header.channels.push_back(channel);
    }
    for (const char* name : {"bramble-seven.yaml", "bramble-seven-units.yaml"}) {
      PosixFiles disk;
      const auto text =
          ReadWholeFile(disk, testing::SourcePath(std::string("decoders/library/") + name));
      ASSERT_OK(text);
      header.definitions.push_back({name, *text});
    }
    auto writer = session::Writer::Create(files_, path, header);
    ASSERT_OK(writer);
    ASSERT_OK((*writer)->Append(frames));
    ASSERT_OK((*writer)->Finish());
  }

  // As it was bought, codes asked at the end. The same for every test.
  void RecordLeak() {
    static const std::vector<Frame> frames = [] {
      Tester tester("coolant-leak");
      tester.AskVersions();
      tester.Until(60);
      tester.AskCodes();
      return tester.Stop();
    }();
    Write("before.session", frames);
  }

  std::string Run(std::vector<const char*> arguments) {
    arguments.insert(arguments.begin(), "proofdrive");
    std::ostringstream out, err;
    tools::Environment environment{files_, out, err};
    tools::RunTool(static_cast<int>(arguments.size()), arguments.data(), environment);
    EXPECT_NE(out.str(), "") << err.str();
    return out.str();
  }
  Json Compare() {
    return Json::parse(Run({"compare", "before.session", "after.session", "--json"}));
  }
  static std::map<std::string, std::string> Codes(const Json& document) {
    std::map<std::string, std::string> verdicts;
    for (const Json& one : document["warnings"]) {
      if (one["kind"] == "code") verdicts[one["name"]] = one["verdict"];
    }
    return verdicts;
  }
  static Json Code(const Json& document, const std::string& name) {
    for (const Json& one : document["warnings"]) {
      if (one["name"] == name) return one;
    }
    return nullptr;
  }

  testing::MemoryFiles files_;
};

TEST_F(CompareCodes, RepairedClearedAndTested) {
  RecordLeak();
  Tester tester("repaired");
  tester.Until(5);
  tester.Clear();
  tester.AskCodes();
  tester.Until(150);
  tester.AskCodes();
  Write("after.session", tester.Stop());
  const Json document = Compare();
  EXPECT_THAT(
      Codes(document),
      UnorderedElementsAre(Pair("P0AA6-1A", "cleared"), Pair("P0A9B-13", "cleared"),
                           Pair("P0A93-7B", "cleared"), Pair("P0562-16", "cleared"),
                           Pair("B1120-00", "cleared"),
                           Pair("P0A0A-13", "came back"),  // a connector was touched
                           Pair("U1135-87", "new"),        // a sensor left unplugged
                           Pair("P0AA1-73", "off in both"), Pair("P0A78-00", "off in both")));
  const Json code = Code(document, "P0AA6-1A");
  EXPECT_EQ(code["unit"], "pack_controller");
  EXPECT_EQ(code["after"]["status"], "00");
  EXPECT_EQ(code["after"]["test"], "passed");
  EXPECT_EQ(code["after"]["codes_cleared_s"].size(), 1U);
  EXPECT_THAT(code["before"]["status_words"].dump(), HasSubstr("confirmed"));
  EXPECT_THAT(Run({"compare", "before.session", "after.session"}),
              HasSubstr("P0AA6-1A of pack_controller"));
}

TEST_F(CompareCodes, JustClearedIsNotProven) {
  RecordLeak();
  Tester tester("repaired");
  tester.Until(0.1);
  tester.Clear();
  tester.Ask(kCluster, {0x14, 0xFF, 0xFF, 0xFF});
  tester.Ask(kCluster, {0x19, 0x02, 0xFF});  // before its test of the 12 V supply has settled
  Write("after.session", tester.Stop());
  const Json document = Compare();
  const Json supply = Code(document, "P0562-16");
  EXPECT_EQ(supply["verdict"], "not proven");
  EXPECT_EQ(supply["after"]["status"], "50");
  EXPECT_THAT(supply["why"].get<std::string>(), HasSubstr("not been completed since codes were"));
  // The others cleared their codes too, but nobody asked for them afterwards.
  EXPECT_EQ(Code(document, "P0AA6-1A")["verdict"], "no evidence");
}

TEST_F(CompareCodes, StoredAndPassedIsStillOn) {
  RecordLeak();
  Tester tester("repaired");
  tester.Until(60);
  tester.AskCodes();
  Write("after.session", tester.Stop());
  const Json code = Code(Compare(), "P0AA6-1A");
  EXPECT_EQ(code["verdict"], "still on");
  EXPECT_THAT(code["why"].get<std::string>(), HasSubstr("confirmed"));
  EXPECT_THAT(code["why"].get<std::string>(), HasSubstr("passed its last test"));
}

TEST_F(CompareCodes, NeverAskedIsNoEvidence) {
  RecordLeak();
  Tester tester("repaired");
  tester.Until(5);
  Write("after.session", tester.Stop());
  for (const auto& [name, verdict] : Codes(Compare())) EXPECT_EQ(verdict, "no evidence") << name;
}

TEST_F(CompareCodes, ASoftwareUpdate) {
  RecordLeak();
  Tester after("updated");
  after.AskVersions();
  after.AskCodes();
  Write("after.session", after.Stop());
  const Json document = Compare();
  // The cluster says nothing any more.
  EXPECT_EQ(Code(document, "P0562-16")["verdict"], "no evidence");
  EXPECT_THAT(Code(document, "P0562-16")["why"].get<std::string>(), HasSubstr("never answered"));
  std::map<std::string, std::pair<std::string, std::string>> versions;
  for (const Json& unit : document["units"]) {
    for (const Json& item : unit["installed"]) {
      if (item["identifier"] != "F195") continue;
      versions[unit["unit"]] = {item["before"].get<std::string>(),
                                item["after"].is_null() ? "" : item["after"].get<std::string>()};
    }
  }
  EXPECT_THAT(versions, UnorderedElementsAre(Pair("pack_controller", Pair("4.2", "4.3")),
                                             Pair("inverter", Pair("2.7", "2.7")),
                                             Pair("cluster", Pair("1.9", ""))));
  // One frame is gone, one moved to 247.
  std::map<std::string, std::string> gone;
  for (const Json& change : document["definition_changes"]) {
    EXPECT_EQ(change["problem"], "never seen") << change;
    gone[change["frame"]] = change["likely"].is_null() ? "" : change["likely"]["id"];
  }
  EXPECT_THAT(gone, UnorderedElementsAre(Pair("body", ""), Pair("supply", "247")));
  EXPECT_THAT(Run({"compare", "before.session", "after.session"}), HasSubstr("247 on drive"));
}

}  // namespace
}  // namespace proofdrive
