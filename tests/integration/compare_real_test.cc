// The traffic of real recordings, compared. They are not part of the project; the figures are those
// of the README.md beside each, which names its source.
#include <gmock/gmock.h>

#include <algorithm>
#include <set>

#include "analysis/compare/comparison.h"
#include "analysis/findings/findings_of.h"
#include "session/writer.h"
#include "tests/integration/real_input.h"
#include "tests/support/memory_files.h"

namespace proofdrive {
namespace {

using namespace proofdrive::testing;  // NOLINT: real_input.h
using analysis::SessionFindings;

SessionFindings FindingsOf(std::span<const Frame> frames) {
  MemoryFiles files;
  session::Header header;
  header.resolution = Duration(1);
  for (std::uint8_t number = 0; number < 2; ++number) {
    session::Channel channel;
    channel.number = number;
    channel.name = "can" + std::to_string(number);
    channel.bitrate = 500000;
    header.channels.push_back(channel);
  }
  auto writer = session::Writer::Create(files, "s.session", header);
  EXPECT_OK(writer);
  EXPECT_OK((*writer)->Append(frames));
  EXPECT_OK((*writer)->Finish());
  auto reader = session::Reader::Open(files, "s.session");
  EXPECT_OK(reader);
  auto findings = analysis::FindingsOf(**reader, {});
  EXPECT_OK(findings);
  return std::move(findings).value();
}

analysis::TrafficComparison Traffic(std::span<const Frame> before, std::span<const Frame> after) {
  return analysis::Compare(FindingsOf(before), FindingsOf(after)).traffic;
}

constexpr char kAbsent[] = "SKIPPED: the recordings are not here; set PROOFDRIVE_DATASETS";

// car-labelled-injection/README.md, source commit fc8c385e of 2025-04-17.
TEST(CompareRealTraffic, HalvesOfAHealthyDriveAreTheSame) {
  const auto folder = Dataset("car-labelled-injection");
  if (!folder) GTEST_SKIP() << kAbsent;
  const std::vector<Frame> frames = RowsOf(*folder + "/clean.csv.gz");
  const std::span<const Frame> all(frames);
  const auto traffic = Traffic(all.first(frames.size() / 2), all.subspan(frames.size() / 2));
  EXPECT_TRUE(traffic.Same());
  EXPECT_GE(traffic.in_both, 49U);
}

TEST(CompareRealTraffic, FloodIsNamedWithWhatItCost) {
  const auto folder = Dataset("car-labelled-injection");
  if (!folder) GTEST_SKIP() << kAbsent;
  const auto traffic =
      Traffic(RowsOf(*folder + "/clean.csv.gz"), RowsOf(*folder + "/flood-lowest-id.csv.gz"));
  // "154 bursts on id 001 (one payload, every 0.22 ms ...; clean has id 001 once)": 13,860
  // injected.
  ASSERT_EQ(traffic.rate.size(), 1U);
  EXPECT_EQ(traffic.rate[0].stream.id, 0x001U);
  EXPECT_EQ(traffic.rate[0].before, 1U);
  EXPECT_EQ(traffic.rate[0].after, 13861U);
  EXPECT_NEAR(ToSeconds(traffic.rate[0].after_period) * 1e3, 0.22, 0.005);
  // "4,840 genuine frames are gone ...; 4,602 cyclic gaps over 1.5 periods, longest silence 201.9
  // ms"; clean: "29 gaps over 1.5 periods, longest silence on the bus 9.3 ms". The README counts
  // the 154 gaps of the flood itself among the cyclic ones; nothing is missing in them.
  const auto bus = std::find_if(traffic.buses.begin(), traffic.buses.end(),
                                [](const auto& one) { return one.bus == "can0"; });
  ASSERT_NE(bus, traffic.buses.end());
  EXPECT_EQ(bus->before.late, 29U);
  EXPECT_EQ(bus->after.late, 4602U - 154U);
  EXPECT_NEAR(static_cast<double>(bus->after.missed), 4840, 200);
  EXPECT_NEAR(ToSeconds(bus->before.longest_silence) * 1e3, 9.3, 0.05);
  EXPECT_NEAR(ToSeconds(bus->after.longest_silence) * 1e3, 201.9, 0.05);
  EXPECT_EQ(bus->reasons.size(), 2U) << ::testing::PrintToString(bus->reasons);
  EXPECT_TRUE(traffic.only_before.empty());
  EXPECT_TRUE(traffic.only_after.empty());
}

// phev-two-bus/README.md, source commit 6ec74e09 of 2022-11-13: 72 and 69 identifiers on channel 0,
// 58 on channel 1 in both.
TEST(CompareRealTraffic, IdentifiersOfOneStateOnly) {
  const auto folder = Dataset("phev-two-bus");
  if (!folder) GTEST_SKIP() << kAbsent;
  const std::vector<Frame> ready = RowsOf(*folder + "/power-on-to-ready.csv.gz");
  const std::vector<Frame> idle = RowsOf(*folder + "/ready-idle-after-gap.csv.gz");
  const auto ids = [](const std::vector<Frame>& frames) {
    std::set<std::pair<int, std::uint32_t>> all;
    for (const Frame& frame : frames) all.emplace(frame.channel, frame.id);
    return all;
  };
  const auto a = ids(ready), b = ids(idle);
  std::vector<std::pair<int, std::uint32_t>> gone, come;
  std::set_difference(a.begin(), a.end(), b.begin(), b.end(), std::back_inserter(gone));
  std::set_difference(b.begin(), b.end(), a.begin(), a.end(), std::back_inserter(come));
  ASSERT_FALSE(gone.empty());
  const auto traffic = Traffic(ready, idle);
  const auto named = [](const std::vector<analysis::OneSided>& list) {
    std::vector<std::pair<int, std::uint32_t>> all;
    for (const auto& one : list) all.emplace_back(one.stream.bus == "can1", one.stream.id);
    std::sort(all.begin(), all.end());
    return all;
  };
  EXPECT_EQ(named(traffic.only_before), gone);
  EXPECT_EQ(named(traffic.only_after), come);
}

}  // namespace
}  // namespace proofdrive
