#include "analysis/session/bus_record.h"

#include <gtest/gtest.h>

namespace proofdrive::analysis {
namespace {

using std::chrono::milliseconds;
using std::chrono::seconds;

Frame EightBytes(std::uint8_t channel) {
  Frame frame;
  frame.channel = channel;
  frame.id = 0x100;
  frame.length = 8;
  return frame;
}

session::Header TwoChannels() {
  session::Header header;
  header.channels.resize(2);
  header.channels[1].number = 3;
  header.channels[1].bitrate = 500000;
  return header;
}

// A classic frame of 8 bytes is 111 bits with its intermission and without stuff bits (ISO
// 11898-1), so 1000 of them per second fill 22.2 % of 500 kbit/s.
TEST(BusRecorder, LoadIsBitsOverTheBitRate) {
  BusRecorder recorder;
  for (int i = 0; i <= 2000; ++i) recorder.Add(EightBytes(3), milliseconds(i));
  const auto buses = recorder.Finish(TwoChannels());
  ASSERT_EQ(buses.size(), 2U);
  EXPECT_EQ(buses[0].frames, 0U);  // named in the header, silent
  EXPECT_EQ(buses[1].frames, 2001U);
  EXPECT_NEAR(buses[1].Load(), 0.222, 0.001);
  EXPECT_NEAR(buses[1].PeakLoad(), 0.222, 0.001);
}

TEST(BusRecorder, LongestSilenceAndWhereItBegan) {
  BusRecorder recorder;
  for (const int at : {0, 1, 2, 9, 10}) recorder.Add(EightBytes(3), seconds(at));
  const auto buses = recorder.Finish(TwoChannels());
  EXPECT_EQ(buses[1].longest_silence, Duration(seconds(7)));
  EXPECT_EQ(buses[1].silence_at, Duration(seconds(2)));
}

TEST(BusRecorder, ErrorMessagesAreNoTraffic) {
  BusRecorder recorder;
  Frame error = EightBytes(5);
  error.flags = kErrorMessage;
  recorder.Add(error, seconds(1));
  const auto buses = recorder.Finish({});
  ASSERT_EQ(buses.size(), 1U);
  EXPECT_EQ(buses[0].error_messages, 1U);
  EXPECT_EQ(buses[0].frames, 0U);
  EXPECT_EQ(buses[0].Load(), 0);
}

}  // namespace
}  // namespace proofdrive::analysis
