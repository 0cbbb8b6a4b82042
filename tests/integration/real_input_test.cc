// Recordings of real cars come in complete, in order, and with every oddity reported.
//
// The expected figures are those of the README.md beside each recording, which names its source;
// here only its commit is given. The recordings themselves are not part of the project.
#include <gmock/gmock.h>

#include <algorithm>
#include <filesystem>
#include <map>
#include <set>
#include <tuple>

#include "tests/integration/real_input.h"

namespace proofdrive {
namespace {

using namespace proofdrive::testing;  // NOLINT: real_input.h
using Json = nlohmann::json;

struct Recording {
  const char* dataset;
  const char* file;
  // Stated by the README.
  std::size_t frames;
  double seconds;
  double seconds_digit;            // half of the last digit it states
  std::map<int, std::size_t> ids;  // by channel; -1: all channels together
  std::uint64_t cross_steps;
  double largest_cross_step_ms;  // negative: only the count is stated
};

std::ostream& operator<<(std::ostream& out, const Recording& recording) {
  return out << recording.file;
}

const Recording kRecordings[] = {
    // ev-two-bus-events/README.md, source commit 83a5cac8 of 2025-01-17: table "Files" and the
    // first
    // point of "What checking showed".
    {"ev-two-bus-events", "start-refused-two-bus", 14294, 27.7, 0.05, {{-1, 67}}, 1029, 24.1},
    {"ev-two-bus-events", "power-cycle-two-bus", 39546, 10.8, 0.05, {{-1, 153}}, 1845, 22.0},
    {"ev-two-bus-events", "bench-power-control-board", 9473, 10.4, 0.05, {{-1, 22}}, 0, 0},
    {"ev-two-bus-events", "bench-restraint-module-two-bus", 4326, 19.9, 0.05, {{-1, 5}}, 20, -1},
    {"ev-two-bus-events", "diagnostic-session-two-units", 638, 174, 0.5, {{-1, 21}}, 0, 0},
    // phev-two-bus/README.md, source commit 6ec74e09 of 2022-11-13: table, and the line below it
    // ("2,854 and 2,425 (up to 35.1 ms)": the maximum is that of both files).
    {"phev-two-bus", "power-on-to-ready", 19871, 5.87, 0.01, {{0, 72}, {1, 58}}, 2854, -1},
    {"phev-two-bus", "ready-idle-after-gap", 17279, 84.3, 0.05, {{0, 69}, {1, 58}}, 2425, 35.1},
    // car-labelled-injection/README.md, source commit fc8c385e of 2025-04-17.
    {"car-labelled-injection", "clean", 245144, 153.208, 0.0005, {{-1, 50}}, 0, 0},
};

std::vector<Frame> OfChannel(const std::vector<Frame>& frames, std::uint8_t channel) {
  std::vector<Frame> part;
  for (const Frame& frame : frames) {
    if (frame.channel == channel) part.push_back(frame);
  }
  return part;
}

std::set<std::uint8_t> ChannelsOf(const std::vector<Frame>& frames) {
  std::set<std::uint8_t> channels;
  for (const Frame& frame : frames) channels.insert(frame.channel);
  return channels;
}

// The lower of the two middle ones when their number is even, as plain_periods.py does.
Json MedianPeriod(const std::vector<std::int64_t>& times) {
  if (times.size() < 2) return nullptr;
  std::vector<std::int64_t> periods;
  for (std::size_t i = 1; i < times.size(); ++i) periods.push_back(times[i] - times[i - 1]);
  std::sort(periods.begin(), periods.end());
  return periods[(periods.size() - 1) / 2];
}

Json PeriodsOf(const std::vector<Frame>& frames) {
  std::map<std::string, std::vector<std::int64_t>> times;
  for (const Frame& frame : frames) {
    const std::string key = std::to_string(frame.channel) + "/" + std::to_string(frame.id) + "/" +
                            (frame.Is(kExtendedId) ? "1" : "0");
    times[key].push_back(ToNanoseconds(frame.time));
  }
  Json ids = Json::object();
  for (const auto& [key, list] : times) {
    ids[key] = {{"frames", list.size()}, {"median_period_ns", MedianPeriod(list)}};
  }
  return ids;
}

// Neighbours of different channels whose times run backward.
std::size_t CrossSteps(const std::vector<Frame>& frames) {
  std::size_t steps = 0;
  for (std::size_t i = 1; i < frames.size(); ++i) {
    if (frames[i].channel != frames[i - 1].channel && frames[i].time < frames[i - 1].time) ++steps;
  }
  return steps;
}

class RealInput : public ::testing::TestWithParam<Recording> {
 protected:
  void SetUp() override {
    const auto folder = Dataset(GetParam().dataset);
    if (!folder) GTEST_SKIP() << "the recordings of " << GetParam().dataset << " are not here";
    csv_ = *folder + "/" + GetParam().file + ".csv.gz";
    session_ = temporary_.File("x.session");
    report_ = ImportRows(csv_, session_);
    ASSERT_TRUE(report_.is_object());
    frames_ = FramesOf(session_);
  }

  void ExpectFiguresOfTheReadme() const;
  void ExpectFiguresOfAPlainComputation() const;
  void ExpectRowsOfTheFileMergedByTime() const;
  void ExpectTheSameAfterExportAndImport() const;
  void ExpectFewBytes() const;

  const TempDir temporary_;
  std::string csv_;
  std::string session_;
  Json report_;
  std::vector<Frame> frames_;
};

INSTANTIATE_TEST_SUITE_P(Files, RealInput, ::testing::ValuesIn(kRecordings), [](const auto& test) {
  std::string name = test.param.file;
  std::replace(name.begin(), name.end(), '-', '_');
  return name;
});

void RealInput::ExpectFiguresOfTheReadme() const {
  const Recording& expected = GetParam();
  EXPECT_EQ(frames_.size(), expected.frames);
  EXPECT_EQ(report_["frames"], expected.frames);
  EXPECT_NEAR(report_["span_s"].get<double>(), expected.seconds, expected.seconds_digit + 1e-9);
  std::map<int, std::set<std::uint64_t>> ids;
  for (const Frame& frame : frames_) {
    const std::uint64_t id = frame.id | (frame.Is(kExtendedId) ? 0x80000000U : 0U);
    ids[frame.channel].insert(id);
    ids[-1].insert((std::uint64_t{frame.channel} << 32) | id);
  }
  for (const auto& [channel, count] : expected.ids) EXPECT_EQ(ids[channel].size(), count);
  EXPECT_EQ(report_["order"]["cross_channel_steps"], expected.cross_steps);
  const double largest_ms = report_["order"]["largest_cross_channel_step_s"].get<double>() * 1e3;
  if (expected.largest_cross_step_ms >= 0) {
    EXPECT_NEAR(largest_ms, expected.largest_cross_step_ms, 0.05);
  } else {
    EXPECT_GT(largest_ms, 0.0);
    EXPECT_LE(largest_ms, 35.15);
  }
  EXPECT_EQ(report_["order"]["channel_steps"], 0);
  EXPECT_TRUE(report_["notices"].empty());
}

void RealInput::ExpectFiguresOfAPlainComputation() const {
  const Json plain =
      Json::parse(OutputOf("python3 '" + ScriptPath("plain_periods.py") + "' '" + csv_ + "'"));
  for (const auto& channel : report_.at("channels")) {
    EXPECT_EQ(channel["frames"], plain["frames"][channel["name"].get<std::string>().substr(3)]);
  }
  EXPECT_EQ(report_["channels"].size(), plain["frames"].size());
  EXPECT_EQ(report_["order"]["cross_channel_steps"], plain["cross_steps"]);
  EXPECT_EQ(PeriodsOf(frames_), plain["ids"]);
}

void RealInput::ExpectRowsOfTheFileMergedByTime() const {
  const std::vector<Frame> rows = RowsOf(csv_);
  ASSERT_EQ(frames_.size(), rows.size());
  for (const std::uint8_t channel : ChannelsOf(rows)) {
    EXPECT_TRUE(OfChannel(frames_, channel) == OfChannel(rows, channel)) << int{channel};
  }
  EXPECT_EQ(CrossSteps(rows), GetParam().cross_steps);
  EXPECT_EQ(CrossSteps(frames_), 0u);
  EXPECT_EQ(report_["order"]["cross_channel_steps_left"], 0);
}

void RealInput::ExpectTheSameAfterExportAndImport() const {
  const std::string capture = temporary_.File("again.pcapng");
  const std::string again = temporary_.File("again.session");
  const ToolRun out = RunProofdrive({"export", session_, "--to", "pcapng", "--out", capture});
  EXPECT_EQ(out.code, 0) << out.err;
  const ToolRun in = RunProofdrive({"import", capture, "--session", again});
  EXPECT_EQ(in.code, 0) << in.err;
  EXPECT_TRUE(FramesOf(again) == frames_);
}

// A capture that says 1 ns and tells microseconds is stored in microseconds. Short recordings, and
// those of a few identifiers with much in each frame, take more.
void RealInput::ExpectFewBytes() const {
  if (frames_.size() < 200'000) return;
  const double bytes = static_cast<double>(std::filesystem::file_size(session_));
  EXPECT_LE(bytes / static_cast<double>(frames_.size()), 3.0);
}

// One test, as the import of each file takes its time.
TEST_P(RealInput, ComesInCompleteAndInOrderAndGoesOutTheSame) {
  ExpectFiguresOfTheReadme();
  ExpectFiguresOfAPlainComputation();
  ExpectRowsOfTheFileMergedByTime();
  ExpectTheSameAfterExportAndImport();
  ExpectFewBytes();
}

// --- a clock that is set back while recording ---

TEST(SteppedClock, IsRecordedAndReportedAndNothingIsReordered) {
  const auto folder = Dataset("phev-two-bus");
  if (!folder) GTEST_SKIP() << "the recordings of phev-two-bus are not here";
  constexpr std::size_t kRow = 9000;
  constexpr std::int64_t kStep = 2'500'000'000;
  const TempDir temporary;
  const std::string session = temporary.File("x.session");
  const std::string csv = *folder + "/power-on-to-ready.csv.gz";
  const Json report = ImportRows(csv, session, "--step-back 2.5 " + std::to_string(kRow));

  std::vector<Frame> rows = RowsOf(csv);
  for (std::size_t i = kRow; i < rows.size(); ++i) rows[i].time -= Duration(kStep);
  const std::vector<Frame> frames = FramesOf(session);
  ASSERT_EQ(frames.size(), rows.size());
  std::map<std::uint8_t, Duration> steps;  // expected, by channel
  for (const std::uint8_t channel : ChannelsOf(rows)) {
    const std::vector<Frame> own = OfChannel(rows, channel);
    EXPECT_TRUE(OfChannel(frames, channel) == own) << int{channel};
    for (std::size_t i = 1; i < own.size(); ++i) {
      if (own[i].time < own[i - 1].time) steps[channel] = own[i].time - own[i - 1].time;
    }
  }
  ASSERT_EQ(steps.size(), 2u);
  EXPECT_EQ(report["order"]["channel_steps"], 2);

  PosixFiles files;
  const auto reader = session::Reader::Open(files, session).value();
  std::map<std::uint8_t, Duration> recorded;
  for (const session::Event& event : reader->events()) {
    if (event.kind == session::EventKind::kClockStep) recorded[*event.channel] = event.step;
  }
  EXPECT_EQ(recorded, steps);
  const ToolRun info = RunProofdrive({"info", session});
  EXPECT_THAT(info.out, ::testing::HasSubstr("clock back by 2."));
}

// --- two states of the same car ---

using Identifier = std::tuple<std::uint8_t, std::uint32_t, bool>;  // channel, id, extended

std::set<Identifier> IdentifiersOf(const std::vector<Frame>& frames) {
  std::set<Identifier> ids;
  for (const Frame& frame : frames) ids.insert({frame.channel, frame.id, frame.Is(kExtendedId)});
  return ids;
}

std::set<std::string> Only(const std::set<Identifier>& in, const std::set<Identifier>& not_in) {
  std::set<std::string> only;
  for (const Identifier& id : in) {
    if (not_in.count(id) != 0) continue;
    only.insert("can" + std::to_string(std::get<0>(id)) + " " +
                FormatId(std::get<1>(id), std::get<2>(id) ? kExtendedId : 0));
  }
  return only;
}

// "can0 29A" for each entry of a list of `compare --json`.
std::set<std::string> Listed(const Json& entries) {
  std::set<std::string> listed;
  for (const Json& entry : entries) {
    listed.insert(entry.at("bus").get<std::string>() + " " + entry.at("id").get<std::string>());
  }
  return listed;
}

TEST(RealComparison, IdentifiersOfOnlyOneStateAreListed) {
  const auto folder = Dataset("phev-two-bus");
  if (!folder) GTEST_SKIP() << "the recordings of phev-two-bus are not here";
  const TempDir temporary;
  const std::string before = temporary.File("power-on.session");
  const std::string after = temporary.File("idle.session");
  ImportRows(*folder + "/power-on-to-ready.csv.gz", before);
  ImportRows(*folder + "/ready-idle-after-gap.csv.gz", after);
  const std::set<Identifier> ids_before =
      IdentifiersOf(RowsOf(*folder + "/power-on-to-ready.csv.gz"));
  const std::set<Identifier> ids_after =
      IdentifiersOf(RowsOf(*folder + "/ready-idle-after-gap.csv.gz"));
  const std::set<std::string> only_before = Only(ids_before, ids_after);
  const std::set<std::string> only_after = Only(ids_after, ids_before);
  ASSERT_FALSE(only_before.empty());

  const ToolRun run = RunProofdrive({"compare", before, after, "--json"});
  EXPECT_EQ(run.code, 3) << run.err;  // no definitions: nothing can be proven
  const Json result = Json::parse(run.out, nullptr, false);
  ASSERT_TRUE(result.is_object()) << run.out;
  EXPECT_EQ(Listed(result.at("traffic").at("only_before")), only_before);
  EXPECT_EQ(Listed(result.at("traffic").at("only_after")), only_after);
}

}  // namespace
}  // namespace proofdrive
