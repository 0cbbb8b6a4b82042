// The whole daemon: in-process with a clock of our own, and as the program users run.
#include <gmock/gmock.h>

#include <cstdlib>
#include <nlohmann/json.hpp>
#include <random>

#include "bench/vehicle.h"
#include "core/base/posix_files.h"
#include "daemon/daemon.h"
#include "daemon/options/parse_options.h"
#include "session/reader.h"
#include "session/recovery.h"
#include "tests/integration/daemon_process.h"
#include "tests/support/keeping_log.h"
#include "tests/support/matchers.h"
#include "tests/support/places.h"
#include "tests/support/temp_dir.h"
#include "tools/daemon/control_client.h"

namespace proofdrive::daemon {
namespace {

using nlohmann::json;
using std::chrono::milliseconds;
using std::chrono::seconds;
using ::testing::Contains;
using testing::DaemonProcess;
using ::testing::EndsWith;
using ::testing::HasSubstr;
using testing::IsOk;

const std::string kDefinitions = testing::SourcePath("decoders/library/bramble-seven.yaml");
const WallTime kStart = WallFromNanoseconds(1'772'366'400'000'000'000);  // 2026-03-01 12:00 UTC

class DaemonTest : public ::testing::Test {
 protected:
  Result<Options> Parse(std::vector<std::string> words) {
    words.insert(words.begin(), "proofdrived");
    words.insert(words.end(), {"--sessions", folder_.path(), "--socket", socket_});
    std::vector<const char*> pointers;
    for (const std::string& word : words) pointers.push_back(word.c_str());
    ASSIGN_OR_RETURN(auto parsed,
                     ParseOptions(static_cast<int>(pointers.size()), pointers.data(), files_));
    return parsed.options;
  }

  std::vector<std::string> Arguments(std::vector<std::string> more) {
    more.insert(more.end(), {"--sessions", folder_.path(), "--socket", socket_});
    return more;
  }

  std::unique_ptr<session::Reader> Open(const std::string& name) {
    auto reader = session::Reader::Open(files_, folder_.File(name));
    EXPECT_OK(reader);
    return reader.ok() ? std::move(*reader) : nullptr;
  }

  Result<std::string> AskStatus() { return tools::AskDaemon(socket_, "GET", "/api/status", ""); }

  void WaitForDaemon() {
    for (int i = 0; i < 3000; ++i) {
      if (AskStatus().ok()) return;
      std::this_thread::sleep_for(milliseconds(10));
    }
    FAIL() << "the daemon did not answer within 30 s";
  }

  testing::TempDir folder_;
  const std::string socket_ = folder_.File("control.sock");
  PosixFiles files_;
};

std::vector<Frame> FramesOf(session::Reader& reader) {
  std::vector<Frame> frames;
  EXPECT_OK(reader.ForEachFrame([&](const Frame& frame) {
    frames.push_back(frame);
    return true;
  }));
  return frames;
}

TEST_F(DaemonTest, RecordsExactlyWhatTheBenchVehicleSent) {
  const auto options =
      Parse({"--source", "bench:coolant-leak@max", "--definitions", kDefinitions, "--record",
             "arrival", "--stage", "arrival", "--for", "60s", "--notes", "as it came"});
  ASSERT_OK(options);
  const ManualClock clock(kStart);
  testing::KeepingLog log;
  StopFlag stop;
  Environment environment{files_, clock, log, stop};
  ASSERT_OK(RunDaemon(*options, environment));

  bench::VehicleOptions vehicle_options;
  vehicle_options.scenario = "coolant-leak";
  vehicle_options.start = kStart;
  auto vehicle = bench::Vehicle::Create(vehicle_options);
  ASSERT_OK(vehicle);
  std::vector<Frame> sent;
  (*vehicle)->Run(seconds(62), sent);
  const WallTime end = sent.at(0).time + seconds(60);
  while (sent.back().time >= end) sent.pop_back();

  const auto reader = Open("arrival.session");
  ASSERT_TRUE(reader);
  EXPECT_EQ(reader->state(), session::State::kComplete);
  const std::vector<Frame> recorded = FramesOf(*reader);
  ASSERT_EQ(recorded.size(), sent.size());
  for (std::size_t i = 0; i < sent.size(); ++i) {
    const Duration off = recorded[i].time - sent[i].time;
    ASSERT_LE(std::chrono::abs(off), Duration(1000)) << i << ": stored to the microsecond";
    Frame same = recorded[i];
    same.time = sent[i].time;
    ASSERT_EQ(same, sent[i]) << i;
  }

  const session::Header& header = reader->header();
  EXPECT_EQ(header.name, "arrival");
  EXPECT_EQ(header.stage, session::Stage::kArrival);
  EXPECT_EQ(header.notes, "as it came");
  EXPECT_EQ(header.vehicle, "Bramble Seven (invented)");
  EXPECT_EQ(header.source, "bench:coolant-leak@max");
  EXPECT_EQ(header.started.wall, kStart);
  EXPECT_EQ(header.id.size(), 32u);
  EXPECT_THAT(header.software, HasSubstr("proofdrived "));
  ASSERT_EQ(header.channels.size(), 2u);
  EXPECT_EQ(header.channels[0].bus, "pack");
  ASSERT_EQ(header.definitions.size(), 1u);
  EXPECT_THAT(header.definitions[0].text, HasSubstr("Bramble Seven (invented)"));

  const auto truth = ReadWholeFile(files_, folder_.File("arrival.truth.json"));
  ASSERT_OK(truth);
  EXPECT_TRUE(json::parse(*truth, nullptr, false).is_object());
  EXPECT_THAT(log.lines(), Contains("Listening only: no frame is ever sent."));
  EXPECT_THAT(log.lines(), Contains(HasSubstr("Warning on: ")));
  EXPECT_THAT(log.lines(), Contains(EndsWith(", 0 lost: " + folder_.File("arrival.session"))));
  EXPECT_FALSE(files_.Exists(socket_));
  EXPECT_FALSE(files_.Exists(folder_.File("arrival.journal")));
}

TEST_F(DaemonTest, ReplayOfARecordingRecordsTheSameFrames) {
  const ManualClock clock(kStart);
  testing::KeepingLog log;
  {
    const auto options = Parse({"--source", "bench:repaired@max", "--record", "a", "--for", "20s"});
    ASSERT_OK(options);
    StopFlag stop;
    Environment environment{files_, clock, log, stop};
    ASSERT_OK(RunDaemon(*options, environment));
  }
  const auto options =
      Parse({"--source", "replay:" + folder_.File("a.session") + "@max", "--record", "b"});
  ASSERT_OK(options);
  StopFlag stop;
  Environment environment{files_, clock, log, stop};
  ASSERT_OK(RunDaemon(*options, environment));
  const auto a = Open("a.session");
  const auto b = Open("b.session");
  ASSERT_TRUE(a && b);
  EXPECT_GT(a->frame_count(), 1000u);
  EXPECT_EQ(FramesOf(*a), FramesOf(*b));
}

TEST_F(DaemonTest, FailuresAtTheStartAreOneSentence) {
  const ManualClock clock(kStart);
  testing::KeepingLog log;
  const auto run = [&](std::vector<std::string> words) {
    const auto options = Parse(std::move(words));
    if (!options.ok()) return options.status().message();
    StopFlag stop;
    Environment environment{files_, clock, log, stop};
    return RunDaemon(*options, environment).message();
  };
  EXPECT_THAT(run({"--source", "bench:repaired", "--definitions", "/none.yaml"}),
              HasSubstr("/none.yaml"));
  EXPECT_THAT(run({"--source", "socketcan:no-such-if"}),
              ::testing::AnyOf(HasSubstr("this kernel has no CAN sockets. Load them with: "),
                               HasSubstr("there is no interface \"no-such-if\""),
                               HasSubstr("no permission to open a CAN socket")));
  ASSERT_OK(ReplaceFile(files_, folder_.File("x.session"), "taken"));
  EXPECT_EQ(run({"--source", "bench:repaired", "--record", "x"}),
            folder_.File("x.session") +
                " is there already and nothing is overwritten: choose another name, for example "
                "x-2");
}

TEST_F(DaemonTest, TheProgramEndsCompleteOnSigterm) {
  DaemonProcess daemon(Arguments({"--source", "bench:drive@20", "--record", "drive-1"}),
                       folder_.File("log"));
  WaitForDaemon();
  std::this_thread::sleep_for(milliseconds(300));
  daemon.Signal(SIGTERM);
  EXPECT_EQ(daemon.Wait(), 0) << daemon.Log();
  const auto reader = Open("drive-1.session");
  ASSERT_TRUE(reader);
  EXPECT_EQ(reader->state(), session::State::kComplete);
  EXPECT_GT(reader->frame_count(), 0u);
  EXPECT_THAT(daemon.Log(), HasSubstr("Recorded "));
}

TEST_F(DaemonTest, TheProgramExitsWithTwoAndASentence) {
  DaemonProcess daemon(Arguments({"--source", "bench:picnic"}), folder_.File("log"));
  EXPECT_EQ(daemon.Wait(), 2);
  EXPECT_THAT(daemon.Log(), ::testing::StartsWith("proofdrived: --source: bench:picnic: there is "
                                                  "no scenario \"picnic\". Possible: "));
}

// How often the daemon is killed; PROOFDRIVE_KILLS=200 for a longer look.
int Kills() {
  const char* const given = std::getenv("PROOFDRIVE_KILLS");
  const int kills = given == nullptr ? 0 : std::atoi(given);
  return kills > 0 ? kills : 30;
}

TEST_F(DaemonTest, KillsLoseNothingThatWasSynced) {
  const unsigned seed = std::random_device{}();
  std::cout << "seed " << seed << "\n";
  std::mt19937 random(seed);
  std::uint64_t acknowledged_marks = 0;
  const int kills = Kills();
  for (int round = 0; round < kills; ++round) {
    const std::string name = "kill-" + std::to_string(round);
    DaemonProcess daemon(Arguments({"--source", "bench:drive@50", "--record", name}),
                         folder_.File("log"));
    WaitForDaemon();
    std::thread killer([&, delay = milliseconds(random() % 300)] {
      std::this_thread::sleep_for(delay);
      daemon.Signal(SIGKILL);
    });
    std::uint64_t marks = 0;
    std::uint64_t durable = 0;
    while (tools::AskDaemon(socket_, "POST", "/api/mark",
                            R"({"text":"m)" + std::to_string(marks) + "\"}")
               .ok()) {
      ++marks;
      const auto status = AskStatus();
      if (!status.ok()) break;
      durable = json::parse(*status)["recording"]["frames_durable"].get<std::uint64_t>();
    }
    killer.join();
    ASSERT_EQ(daemon.Wait(), -SIGKILL) << daemon.Log();
    acknowledged_marks += marks;

    const std::string path = folder_.File(name + ".session");
    auto reader = session::Reader::Open(files_, path);
    ASSERT_OK(reader) << "round " << round;
    EXPECT_EQ((*reader)->state(), session::State::kInterrupted) << "round " << round;
    EXPECT_GE((*reader)->frame_count(), durable) << "round " << round;
    ASSERT_GE((*reader)->events().size(), marks) << "round " << round;
    for (std::uint64_t i = 0; i < marks; ++i) {
      EXPECT_EQ((*reader)->events()[i].text, "m" + std::to_string(i)) << "round " << round;
    }
    const std::string mended = folder_.File(name + ".recovered.session");
    const auto report = session::Recover(files_, path, mended);
    ASSERT_OK(report) << "round " << round;
    const auto verified = session::Verify(files_, mended);
    ASSERT_OK(verified);
    EXPECT_EQ(verified->state, session::State::kComplete) << "round " << round;
    EXPECT_EQ(verified->frames, (*reader)->frame_count()) << "round " << round;
    EXPECT_EQ(verified->events, (*reader)->events().size() + 1)
        << "round " << round << ": all events and the notice that it was recovered";
  }
  std::cout << kills << " kills, " << acknowledged_marks << " marks acknowledged, none lost\n";
  EXPECT_GT(acknowledged_marks, 0u) << "otherwise this test shows nothing";
}

}  // namespace
}  // namespace proofdrive::daemon
