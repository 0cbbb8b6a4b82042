#include "daemon/live/load_meter.h"

#include <gtest/gtest.h>

namespace proofdrive::daemon {
namespace {

using std::chrono::seconds;

session::Channel MakeChannel(std::uint8_t number, std::uint32_t bitrate,
                             std::uint32_t data_bitrate = 0) {
  session::Channel channel;
  channel.number = number;
  channel.bitrate = bitrate;
  channel.data_bitrate = data_bitrate;
  return channel;
}

void CountMany(LoadMeter& meter, int count, std::uint8_t channel, std::uint8_t flags,
               std::uint8_t length) {
  Frame frame;
  frame.channel = channel;
  frame.flags = flags;
  frame.length = length;
  for (int i = 0; i < count; ++i) meter.Count(frame);
}

// Worked by hand from the bit counts of Linux linux/can/length.h: 500 kbit/s; base 8 bytes every
// 10 ms and every 20 ms, base 4 bytes and extended 8 bytes every 100 ms: 3.75 % without stuff bits,
// 4.56 % with as many as there can be.
TEST(LoadMeterTest, FourMessages) {
  LoadMeter meter;
  CountMany(meter, 100, 0, 0, 8);
  CountMany(meter, 50, 0, 0, 8);
  CountMany(meter, 10, 0, 0, 4);
  CountMany(meter, 10, 0, kExtendedId, 8);
  const LoadMeter::Load load = meter.Take(MakeChannel(0, 500000), seconds(1));
  EXPECT_DOUBLE_EQ(load.least, 0.0375);
  EXPECT_DOUBLE_EQ(load.most, 0.0456);
  EXPECT_DOUBLE_EQ(load.frames_per_s, 170);
}

// From the same header: at 500 kbit/s and 2 Mbit/s with the bit rate switched, 64 bytes last
// 333.0 us and 8 bytes 106.5 us when there is no stuff bit but the fixed ones.
TEST(LoadMeterTest, TheDataPhaseIsFaster) {
  LoadMeter meter;
  const session::Channel channel = MakeChannel(3, 500000, 2000000);
  CountMany(meter, 1000, 3, kFlexibleData | kBitRateSwitch, 64);
  EXPECT_NEAR(meter.Take(channel, seconds(1)).least, 1000 * 333.0e-6, 1e-9);
  CountMany(meter, 1000, 3, kFlexibleData | kBitRateSwitch, 8);
  const LoadMeter::Load load = meter.Take(channel, seconds(1));
  EXPECT_NEAR(load.least, 1000 * 106.5e-6, 1e-9);
  EXPECT_GT(load.most, load.least);
}

TEST(LoadMeterTest, EachMeasurementIsOfItsOwnTimeAndChannel) {
  LoadMeter meter;
  const session::Channel channel = MakeChannel(200, 125000);
  CountMany(meter, 10, 200, 0, 0);
  EXPECT_EQ(meter.Take(MakeChannel(0, 125000), seconds(2)).frames_per_s, 0);
  const LoadMeter::Load load = meter.Take(channel, seconds(2));
  EXPECT_DOUBLE_EQ(load.frames_per_s, 5);
  EXPECT_DOUBLE_EQ(load.least, 10 * 47 / 125000.0 / 2);
  EXPECT_EQ(meter.Take(channel, seconds(1)).least, 0);
}

TEST(LoadMeterTest, ABitRateThatIsNotKnownGivesNoLoad) {
  LoadMeter meter;
  CountMany(meter, 10, 1, 0, 8);
  const LoadMeter::Load load = meter.Take(MakeChannel(1, 0), seconds(1));
  EXPECT_EQ(load.most, 0);
  EXPECT_DOUBLE_EQ(load.frames_per_s, 10);
}

}  // namespace
}  // namespace proofdrive::daemon
