// Counters, checksums and physics as they can be seen in the frames alone.
#include "bench/frames/frames.h"
#include "bench/frames/buses.h"

#include <cmath>
#include <map>
#include <set>

#include <gtest/gtest.h>

#include "tests/unit/bench/recording.h"

namespace proofdrive::bench {
namespace {

// Bit by bit as SAE J1850 describes it, on purpose unlike the vehicle's own: a shift register fed
// with one message bit at a time.
unsigned SlowCrc8(const std::vector<std::uint8_t>& bytes) {
  unsigned shift = 0xFF;
  for (const std::uint8_t byte : bytes) {
    for (int bit = 7; bit >= 0; --bit) {
      const unsigned in = (byte >> bit) & 1;
      const unsigned out = (shift >> 7) & 1;
      shift = (shift << 1) & 0xFF;
      if (in != out) shift ^= 0x1D;
    }
  }
  return shift ^ 0xFF;
}

unsigned Expected(ChecksumKind kind, const std::vector<std::uint8_t>& bytes) {
  if (kind == ChecksumKind::kCrc8J1850) return SlowCrc8(bytes);
  unsigned result = 0;
  for (const std::uint8_t byte : bytes) {
    result = kind == ChecksumKind::kXor ? result ^ byte : (result + byte) % 256;
  }
  return result;
}

TEST(FramesTest, IndependentCrcHasTheCheckValue) {
  EXPECT_EQ(SlowCrc8({'1', '2', '3', '4', '5', '6', '7', '8', '9'}), 0x4Bu);  // SAE J1850
}

TEST(FramesTest, TableHasNoTwoFramesOfOneIdentifier) {
  std::set<std::pair<int, std::uint32_t>> seen;
  std::set<std::string_view> names;
  for (const FrameRow& row : FrameTable()) {
    EXPECT_TRUE(seen.insert({row.bus, row.id}).second) << row.name;
    EXPECT_TRUE(names.insert(row.name).second) << row.name;
  }
}

TEST(FramesTest, EveryChecksumIsRight) {
  std::set<ChecksumKind> kinds;
  for (const FrameRow& row : FrameTable()) {
    if (row.checksum.kind == ChecksumKind::kNone) continue;
    kinds.insert(row.checksum.kind);
    for (const Frame& frame : Recorded("coolant-leak").frames) {
      if (frame.id != row.id || frame.channel != row.bus) continue;
      std::vector<std::uint8_t> covered;
      for (std::size_t i = 0; i < frame.length; ++i) {
        if (i != row.checksum.byte) covered.push_back(frame.data[i]);
      }
      ASSERT_EQ(frame.data[row.checksum.byte], Expected(row.checksum.kind, covered)) << row.name;
    }
  }
  EXPECT_EQ(kinds.size(), 3u);
}

TEST(FramesTest, EveryCounterCountsToItsLastValueAndStartsAgain) {
  std::set<int> lasts;
  for (const FrameRow& row : FrameTable()) {
    if (row.counter.last == 0) continue;
    lasts.insert(row.counter.last);
    int expected = -1;
    int most = 0;
    for (const Frame& frame : Recorded("coolant-leak").frames) {
      if (frame.id != row.id || frame.channel != row.bus) continue;
      const int count = (frame.data[row.counter.byte] >> row.counter.lowest_bit) & 0xF;
      if (expected >= 0) {
        ASSERT_EQ(count, expected) << row.name;
      }
      expected = (count + 1) % (row.counter.last + 1);
      most = std::max(most, count);
    }
    EXPECT_EQ(most, row.counter.last) << row.name;
  }
  EXPECT_EQ(lasts, (std::set<int>{14, 15}));
}

TEST(FramesTest, PrechargeTimeConstantCanBeReadFromTheLinkVoltage) {
  // tau = dt / ln((v2 - v1) / (v3 - v2)) for three equally spaced readings.
  const Recording& recording = Recorded("repaired");
  std::vector<double> volts;
  for (const Frame& frame : recording.frames) {
    if (frame.id != 0x0C7 || frame.channel != kPackBus) continue;
    if ((frame.data[4] & 7) == 1) volts.push_back(0.1 * Word(frame, 0));
    if (!volts.empty() && (frame.data[4] & 7) == 2) break;
  }
  ASSERT_GT(volts.size(), 40u);
  const double tau = 0.15 / std::log((volts[20] - volts[5]) / (volts[35] - volts[20]));
  const double true_tau = recording.truth["precharge"]["tau_s"];
  EXPECT_NEAR(tau, true_tau, 0.03 * true_tau);
}

TEST(FramesTest, SumOfCellsIsPackVoltage) {
  for (const char* scenario : {"coolant-leak", "repaired", "drive"}) {
    std::map<int, double> cells;
    double pack_v = 0;
    double current_a = 0;
    int compared = 0;
    for (const Frame& frame : Recorded(scenario).frames) {
      if (frame.channel != kPackBus) continue;
      if (frame.id == 0x0C7) current_a = 0.1 * static_cast<std::int16_t>(Word(frame, 2));
      if (frame.id == 0x2A1) pack_v = 0.1 * Word(frame, 0);
      if (frame.id != 0x3B4) continue;
      for (int i = 0; i < 3 && frame.data[0] < 32; ++i) {
        cells[3 * frame.data[0] + i] = 0.001 * Word(frame, static_cast<std::size_t>(2 + 2 * i));
      }
      if (frame.data[0] != 200 || cells.size() < 96 || std::abs(current_a) > 3) continue;
      double sum = 0;
      for (const auto& [cell, volt] : cells) sum += volt;
      // 1 %: cells are read one after the other while the current may change.
      EXPECT_NEAR(sum, pack_v, 0.01 * pack_v) << scenario;
      ++compared;
    }
    EXPECT_GT(compared, 20) << scenario;
  }
}

TEST(FramesTest, ChargeCountedFromTheFramesIsChargeLost) {
  // Positive current is discharge: 100 %-points of charge times capacity must be its integral.
  const Recording& recording = Recorded("drive");
  double ampere_seconds = 0;
  double last = -1;
  for (const Frame& frame : recording.frames) {
    if (frame.id != 0x0C7 || frame.channel != kPackBus) continue;
    const double now = SecondsIn(frame);
    if (last >= 0) ampere_seconds += 0.1 * static_cast<std::int16_t>(Word(frame, 2)) * (now - last);
    last = now;
  }
  const double first = recording.truth["charge"]["first_percent"];
  const double end = recording.truth["charge"]["last_percent"];
  const double capacity = recording.truth["cells"]["mean_capacity_ah"];
  EXPECT_NEAR(ampere_seconds / 3600, (first - end) / 100 * capacity, 0.02);
  EXPECT_GT(first - end, 1);
}

TEST(FramesTest, EnergyCountedFromTheFramesIsEnergyDelivered) {
  const Recording& recording = Recorded("drive");
  double joule = 0;
  double pack_v = 0;
  double last = -1;
  for (const Frame& frame : recording.frames) {
    if (frame.channel != kPackBus) continue;
    if (frame.id == 0x2A1) pack_v = 0.1 * Word(frame, 0);
    if (frame.id != 0x0C7) continue;
    const double now = SecondsIn(frame);
    const double current_a = 0.1 * static_cast<std::int16_t>(Word(frame, 2));
    if (last >= 0) joule += pack_v * current_a * (now - last);
    last = now;
  }
  const double kwh = recording.truth["charge"]["discharged_kwh"];
  // Voltage is up to 0.1 s older than current.
  EXPECT_NEAR(joule / 3.6e6, kwh, 0.01 * kwh);
  EXPECT_GT(kwh, 0.5);
}

TEST(FramesTest, VoltageFallsWhenDischargeRises) {
  // The sign of the current can be tested on the recording itself.
  double last_v = 0;
  double last_a = 0;
  double current = 0;
  double product = 0;
  for (const Frame& frame : Recorded("drive").frames) {
    if (frame.channel != kPackBus) continue;
    if (frame.id == 0x0C7) current = 0.1 * static_cast<std::int16_t>(Word(frame, 2));
    if (frame.id != 0x2A1) continue;
    const double volt = 0.1 * Word(frame, 0);
    if (last_v > 0) product += (volt - last_v) * (current - last_a);
    last_v = volt;
    last_a = current;
  }
  EXPECT_LT(product, 0);
}

}  // namespace
}  // namespace proofdrive::bench
