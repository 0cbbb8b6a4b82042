// The whole way: a daemon that may ask, the bench vehicle's control units, the commands, the
// recorded session.
#include <gmock/gmock.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "core/base/posix_files.h"
#include "session/reader.h"
#include "tests/integration/daemon_process.h"
#include "tests/support/matchers.h"
#include "tests/support/temp_dir.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

using nlohmann::json;
using testing::BuildPath;
using ::testing::Contains;
using testing::DaemonProcess;
using ::testing::HasSubstr;
using ::testing::IsSupersetOf;
using testing::SourcePath;

struct Output {
  int code = 0;
  std::string out;
  std::string err;
};

class AskingTest : public ::testing::Test {
 protected:
  void StartDaemon(const std::string& scenario, std::vector<std::string> more) {
    std::vector<std::string> arguments = {
        "--source",      "bench:" + scenario,
        "--definitions", SourcePath("decoders/library/bramble-seven.yaml"),
        "--definitions", SourcePath("decoders/library/bramble-seven-units.yaml"),
        "--sessions",    folder_.path(),
        "--socket",      socket_};
    arguments.insert(arguments.end(), more.begin(), more.end());
    daemon_ = std::make_unique<DaemonProcess>(arguments, folder_.File("daemon.log"));
    for (int i = 0; i < 600 && Run({"status"}).code != 0; ++i) {
      std::this_thread::sleep_for(std::chrono::milliseconds(100));
    }
  }
  Output RunAlone(std::vector<std::string> words) {
    words.insert(words.begin(), "proofdrive");
    std::vector<const char*> pointers;
    for (const std::string& word : words) pointers.push_back(word.c_str());
    std::ostringstream out;
    std::ostringstream err;
    Environment environment{files_, out, err};
    const int code = RunTool(static_cast<int>(pointers.size()), pointers.data(), environment);
    return {code, out.str(), err.str()};
  }
  Output Run(std::vector<std::string> words) {
    words.insert(words.end(), {"--socket", socket_});
    return RunAlone(std::move(words));
  }
  static json Unit(const json& document, const std::string& name) {
    for (const json& unit : document["units"]) {
      if (unit["unit"] == name) return unit;
    }
    return nullptr;
  }
  static std::map<std::string, std::string> Statuses(const json& unit) {
    std::map<std::string, std::string> statuses;
    for (const json& code : unit["codes"]) {
      statuses[code["code"].get<std::string>()] =
          code["status"].is_string() ? code["status"].get<std::string>() : "";
    }
    return statuses;
  }

  const testing::TempDir folder_;
  const std::string socket_ = folder_.File("s");
  PosixFiles files_;
  std::unique_ptr<DaemonProcess> daemon_;
};

TEST_F(AskingTest, WithoutPermissionEachCommandSaysHowAndWhat) {
  StartDaemon("coolant-leak", {});
  for (const char* command : {"codes", "identify", "clear"}) {
    const Output output = Run({command});
    EXPECT_EQ(output.code, 2) << command;
    EXPECT_THAT(output.err, HasSubstr("start it with --allow-requests"));
    EXPECT_THAT(output.err, HasSubstr("unit pack_controller on 7E5"));
    EXPECT_THAT(output.err, HasSubstr("ReadDTCInformation 02"));
  }
  EXPECT_THAT(Run({"clear"}).err, HasSubstr("ClearDiagnosticInformation"));
  daemon_->Signal(SIGTERM);
  EXPECT_EQ(daemon_->Wait(), 0);
  EXPECT_THAT(daemon_->Log(), HasSubstr("Listening only: no frame is ever sent."));
}

TEST_F(AskingTest, CodesAndVersionsAreAskedRecordedAndReadBack) {
  StartDaemon("coolant-leak", {"--allow-requests"});
  ASSERT_EQ(Run({"record", "start", "leak", "--stage", "arrival"}).code, 0);
  EXPECT_THAT(Run({"status"}).out, ::testing::Not(HasSubstr("listening only")));
  const Output live = Run({"codes", "--json"});
  EXPECT_EQ(live.code, 1) << live.err;
  const json asked = json::parse(live.out, nullptr, false);
  ASSERT_TRUE(asked.is_object()) << live.out << live.err;
  for (const char* name : {"pack_controller", "inverter", "cluster"}) {
    EXPECT_THAT(Unit(asked, name)["lists"].get<std::vector<std::string>>(),
                IsSupersetOf({"03", "07", "0A", "19 02", "19 0A"}))
        << name;
    EXPECT_EQ(Unit(asked, name)["oddities"].size(), 0u) << name;
  }
  EXPECT_EQ(Statuses(Unit(asked, "pack_controller"))["P0A9B-13"].size(), 2u);
  EXPECT_GT(asked["conversations"]["pending_resolved"], 0);

  const Output versions = Run({"identify"});
  EXPECT_EQ(versions.code, 0) << versions.err;
  EXPECT_THAT(versions.out, HasSubstr("4.2"));
  EXPECT_THAT(versions.out, ::testing::Not(HasSubstr("TES")));
  const Output vin = Run({"identify", "--vin"});
  EXPECT_THAT(vin.out, HasSubstr("TESTVEH0123456789"));
  ASSERT_EQ(Run({"record", "stop"}).code, 0);
  daemon_->Signal(SIGTERM);
  EXPECT_EQ(daemon_->Wait(), 0);

  const std::string session = folder_.File("leak.session");
  const Output read = RunAlone({"codes", session, "--json"});
  EXPECT_EQ(read.code, 1) << read.err;
  const json recorded = json::parse(read.out, nullptr, false);
  for (const char* name : {"pack_controller", "inverter", "cluster"}) {
    for (const auto& [code, status] : Statuses(Unit(asked, name))) {
      EXPECT_THAT(Statuses(Unit(recorded, name)), Contains(::testing::Key(code))) << name;
    }
  }
  EXPECT_EQ(recorded["conversations"]["unasked_answers"], 0);

  auto reader = session::Reader::Open(files_, session);
  ASSERT_OK(reader);
  std::vector<std::string> snapshots;
  int identifications = 0;
  for (const session::Event& event : (*reader)->events()) {
    if (event.kind == session::EventKind::kIdentification) ++identifications;
    if (event.kind != session::EventKind::kCodeSnapshot) continue;
    snapshots.push_back(event.text);
    EXPECT_EQ(json::parse(event.data, nullptr, false)["what"], "codes");
  }
  ASSERT_EQ(snapshots.size(), 3u) << "start, on demand, end";
  EXPECT_THAT(snapshots[0], HasSubstr("codes, start: pack_controller"));
  EXPECT_THAT(snapshots[1], HasSubstr("codes, on demand: "));
  EXPECT_THAT(snapshots[2], HasSubstr("codes, end: "));
  EXPECT_GE(identifications, 3);
  const Output decoded =
      RunAlone({"decode", session, "--signals", "insulation_asked", "--format", "csv"});
  EXPECT_THAT(decoded.out, HasSubstr("insulation_asked")) << decoded.err;
}

TEST_F(AskingTest, ClearingInTwoStepsLeavesEvidence) {
  StartDaemon("repaired", {"--allow-requests"});
  EXPECT_THAT(Run({"clear"}).err, HasSubstr("nothing is being recorded"));
  ASSERT_EQ(Run({"record", "start", "clearing"}).code, 0);
  Output first;
  for (int i = 0; i < 100 && first.code != 3; ++i) {  // until every role has been heard
    first = Run({"clear", "--json"});
    std::this_thread::sleep_for(std::chrono::milliseconds(100));
  }
  ASSERT_EQ(first.code, 3) << first.err;
  const std::string word = json::parse(first.out)["confirm"];
  EXPECT_THAT(Run({"clear", "--confirm", "0"}).err, HasSubstr("is not the word"));
  EXPECT_THAT(Run({"clear", "--confirm", word}).err, HasSubstr("is not the word"))
      << "a wrong word voids it";
  const json again = json::parse(Run({"clear", "--json"}).out);
  const Output done = Run({"clear", "--confirm", again["confirm"]});
  // The moisture sensor is still not plugged in: its code comes back while we look.
  EXPECT_EQ(done.code, 1) << done.err << done.out;
  EXPECT_THAT(done.out, HasSubstr("U1135-87"));
  EXPECT_THAT(done.out, HasSubstr("pack_controller cleared its codes"));
  ASSERT_EQ(Run({"record", "stop"}).code, 0);
  const Output read = RunAlone({"codes", folder_.File("clearing.session"), "--json"});
  const json recorded = json::parse(read.out, nullptr, false);
  // Not tested since, or tested and passed.
  EXPECT_THAT(Statuses(Unit(recorded, "pack_controller"))["P0AA6-1A"],
              ::testing::AnyOf("50", "00"));
}

TEST_F(AskingTest, ASilentUnitIsNamed) {
  StartDaemon("updated", {"--allow-requests"});
  const Output output = Run({"codes"});
  EXPECT_EQ(output.code, 3) << output.out << output.err;
  EXPECT_THAT(output.out, HasSubstr("cluster was asked and never answered"));
}

}  // namespace
}  // namespace proofdrive::tools
