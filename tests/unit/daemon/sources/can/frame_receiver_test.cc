// Structures and bits: linux/can.h, linux/can/error.h and the Linux kernel's networking/can.rst.
#include "daemon/sources/can/frame_receiver.h"

#include <gmock/gmock.h>
#include <linux/can.h>
#include <linux/can/error.h>
#include <linux/errqueue.h>
#include <time.h>
#include <unistd.h>

#include <cstring>

#include "tests/support/matchers.h"

namespace proofdrive::daemon {
namespace {

using ::testing::HasSubstr;
using testing::IsError;
using testing::IsOk;

constexpr std::uint8_t kChannel = 3;
constexpr Duration kWait = std::chrono::seconds(2);
const WallTime kNow = WallFromNanoseconds(1'700'000'000'000'000'000);

// A connected pair: frames are written into one end, the receiver owns the other.
class FrameReceiverTest : public ::testing::TestWithParam<int> {
 protected:
  FrameReceiverTest() {
    int ends[2];
    EXPECT_EQ(::socketpair(AF_UNIX, GetParam(), 0, ends), 0);
    sender_ = ends[0];
    receiver_end_ = ends[1];
    port_ = MakeFrameReceiver(ends[1], kChannel, clock_);
  }
  ~FrameReceiverTest() override { ::close(sender_); }

  void Write(const void* bytes, std::size_t size) {
    ASSERT_EQ(::send(sender_, bytes, size, 0), static_cast<ssize_t>(size));
  }

  ManualClock clock_{kNow};
  int sender_ = -1;
  int receiver_end_ = -1;
  std::unique_ptr<FramePort> port_;
  std::vector<Frame> frames_;
};

INSTANTIATE_TEST_SUITE_P(SocketTypes, FrameReceiverTest,
                         ::testing::Values(SOCK_SEQPACKET, SOCK_DGRAM));

can_frame Classic(std::uint32_t id, std::vector<std::uint8_t> data) {
  can_frame raw{};
  raw.can_id = id;
  raw.len = static_cast<std::uint8_t>(data.size());
  std::copy(data.begin(), data.end(), raw.data);
  return raw;
}

TEST_P(FrameReceiverTest, ClassicFramesOfBothFormats) {
  const can_frame base = Classic(0x2A1, {1, 2, 3});
  const can_frame extended = Classic(0x18DAF110 | CAN_EFF_FLAG, {0x02, 0x3E, 0x00});
  Write(&base, sizeof(base));
  Write(&extended, sizeof(extended));
  const auto report = port_->Receive(frames_, kWait);
  ASSERT_OK(report);
  EXPECT_EQ(report->frames, 2u);
  ASSERT_EQ(frames_.size(), 2u);
  EXPECT_EQ(frames_[0].id, 0x2A1u);
  EXPECT_EQ(frames_[0].flags, 0);
  EXPECT_EQ(frames_[0].length, 3);
  EXPECT_EQ(frames_[0].data[2], 3);
  EXPECT_EQ(frames_[0].channel, kChannel);
  EXPECT_EQ(frames_[1].id, 0x18DAF110u);
  EXPECT_EQ(frames_[1].flags, kExtendedId);
}

TEST_P(FrameReceiverTest, FlexibleDataFrameWithItsFlags) {
  canfd_frame raw{};
  raw.can_id = 0x123;
  raw.len = 64;
  raw.flags = CANFD_BRS | CANFD_ESI;
  for (int i = 0; i < 64; ++i) raw.data[i] = static_cast<std::uint8_t>(i);
  Write(&raw, sizeof(raw));
  ASSERT_OK(port_->Receive(frames_, kWait));
  ASSERT_EQ(frames_.size(), 1u);
  EXPECT_EQ(frames_[0].flags, kFlexibleData | kBitRateSwitch | kErrorState);
  EXPECT_EQ(frames_[0].length, 64);
  EXPECT_EQ(frames_[0].data[63], 63);
}

TEST_P(FrameReceiverTest, ErrorMessageKeepsClassAndData) {
  const can_frame raw = Classic(CAN_ERR_FLAG | 0x204, {0, 0x08, 0, 0, 0, 0, 0x60, 0});
  Write(&raw, sizeof(raw));
  ASSERT_OK(port_->Receive(frames_, kWait));
  ASSERT_EQ(frames_.size(), 1u);
  EXPECT_EQ(frames_[0].flags, kErrorMessage);
  EXPECT_EQ(frames_[0].id, 0x204u);
  EXPECT_EQ(frames_[0].data[6], 0x60);
}

TEST_P(FrameReceiverTest, RemoteFrameHasALengthButNoData) {
  can_frame raw = Classic(0x55 | CAN_RTR_FLAG, {9, 9});
  Write(&raw, sizeof(raw));
  ASSERT_OK(port_->Receive(frames_, kWait));
  ASSERT_EQ(frames_.size(), 1u);
  EXPECT_TRUE(frames_[0].Is(kRemote));
  EXPECT_EQ(frames_[0].length, 2);
  EXPECT_EQ(frames_[0].data[0], 0);
}

TEST_P(FrameReceiverTest, MalformedDatagramsAreCountedAndTheRestIsTaken) {
  const std::vector<std::uint8_t> sizes = {1, 15, 17, 71, 73, 200};
  std::array<std::uint8_t, 256> bytes{};
  for (const std::uint8_t size : sizes) Write(bytes.data(), size);
  can_frame too_long = Classic(1, {});
  too_long.len = 9;
  Write(&too_long, sizeof(too_long));
  canfd_frame impossible{};
  impossible.len = 9;  // no CAN FD length
  Write(&impossible, sizeof(impossible));
  const can_frame good = Classic(0x7FF, {1});
  Write(&good, sizeof(good));
  const auto report = port_->Receive(frames_, kWait);
  ASSERT_OK(report);
  EXPECT_EQ(report->malformed, sizes.size() + 2);
  ASSERT_EQ(frames_.size(), 1u);
  EXPECT_EQ(frames_[0].id, 0x7FFu);
}

TEST_P(FrameReceiverTest, WithoutAStampItTakesTheClockAndSaysSo) {
  const can_frame raw = Classic(1, {});
  Write(&raw, sizeof(raw));
  const auto report = port_->Receive(frames_, kWait);
  ASSERT_OK(report);
  EXPECT_EQ(report->without_time, 1u);
  EXPECT_EQ(frames_.at(0).time, kNow);
}

TEST_P(FrameReceiverTest, TakesTheKernelsStamp) {
  const int on = 1;
  ASSERT_EQ(::setsockopt(receiver_end_, SOL_SOCKET, SO_TIMESTAMPNS, &on, sizeof(on)), 0);
  const can_frame raw = Classic(1, {});
  const SystemClock real;
  const WallTime before = real.Now().wall;
  Write(&raw, sizeof(raw));
  const auto report = port_->Receive(frames_, kWait);
  const WallTime after = real.Now().wall;
  ASSERT_OK(report);
  if (report->without_time != 0) GTEST_SKIP() << "this kernel does not stamp such sockets";
  EXPECT_GE(frames_.at(0).time, before);
  EXPECT_LE(frames_.at(0).time, after);
}

TEST_P(FrameReceiverTest, SilenceIsNoError) {
  const auto report = port_->Receive(frames_, Duration(0));
  ASSERT_OK(report);
  EXPECT_EQ(report->frames, 0u);
}

TEST_P(FrameReceiverTest, TakesManyBatchesWithoutLoss) {
  std::size_t sent = 0;
  std::size_t received = 0;
  for (int round = 0; round < 100; ++round) {
    for (int i = 0; i < 8; ++i) {
      const can_frame raw = Classic(static_cast<std::uint32_t>(sent++ % 0x800), {});
      Write(&raw, sizeof(raw));
    }
    const auto report = port_->Receive(frames_, kWait);
    ASSERT_OK(report);
    received += report->frames;
  }
  while (received < sent) {
    const auto report = port_->Receive(frames_, kWait);
    ASSERT_OK(report);
    ASSERT_GT(report->frames, 0u);
    received += report->frames;
  }
  for (std::size_t i = 0; i < sent; ++i) ASSERT_EQ(frames_[i].id, i % 0x800);
}

TEST_P(FrameReceiverTest, NothingEverReachesTheOtherEnd) {
  for (int i = 0; i < 50; ++i) {
    const can_frame raw = Classic(1, {1, 2});
    Write(&raw, sizeof(raw));
    ASSERT_OK(port_->Receive(frames_, kWait));
  }
  std::array<char, 80> answer{};
  EXPECT_EQ(::recv(sender_, answer.data(), answer.size(), MSG_DONTWAIT), -1);
  EXPECT_EQ(errno, EAGAIN);
}

TEST(FrameReceiverCloseTest, EndOfTheConnectionMeansGone) {
  int ends[2];
  ASSERT_EQ(::socketpair(AF_UNIX, SOCK_SEQPACKET, 0, ends), 0);
  ManualClock clock(kNow);
  const auto port = MakeFrameReceiver(ends[1], 0, clock);
  const can_frame raw = Classic(7, {});
  ASSERT_EQ(::send(ends[0], &raw, sizeof(raw), 0), static_cast<ssize_t>(sizeof(raw)));
  ::close(ends[0]);
  std::vector<Frame> frames;
  ASSERT_OK(port->Receive(frames, kWait));
  EXPECT_EQ(frames.size(), 1u) << "what was queued comes first";
  EXPECT_THAT(port->Receive(frames, kWait),
              IsError(ErrorKind::kNotFound, "the connection was closed"));
}

// --- one datagram ---

ByteSpan Bytes(const can_frame& raw) {
  return {reinterpret_cast<const std::uint8_t*>(&raw), sizeof(raw)};
}

TEST(ParseDatagramTest, BytesOfALittleEndianHost) {
  // can_frame of extended id 0x18DAF110, length 3, 02 3E 00 (linux/can.h, computed).
  const std::vector<std::uint8_t> bytes = {0x10, 0xF1, 0xDA, 0x98, 3, 0, 0, 0,
                                           0x02, 0x3E, 0x00, 0,    0, 0, 0, 0};
  const auto frame = ParseDatagram(bytes, 0, 1, kNow);
  ASSERT_OK(frame);
  EXPECT_EQ(frame->id, 0x18DAF110u);
  EXPECT_EQ(frame->flags, kExtendedId);
  EXPECT_EQ(frame->payload().size(), 3u);
  EXPECT_EQ(frame->time, kNow);
}

TEST(ParseDatagramTest, FramesOfThisMachineAreMarked) {
  for (const int flag : {static_cast<int>(MSG_DONTROUTE), static_cast<int>(MSG_CONFIRM)}) {
    const auto frame = ParseDatagram(Bytes(Classic(1, {})), flag, 0, kNow);
    ASSERT_OK(frame);
    EXPECT_EQ(frame->flags, kSentHere);
  }
}

TEST(ParseDatagramTest, TruncatedDatagramIsRefused) {
  EXPECT_THAT(ParseDatagram(Bytes(Classic(1, {})), MSG_TRUNC, 0, kNow),
              IsError(ErrorKind::kCorrupt, "a datagram of 16 bytes is no CAN frame"));
}

TEST(ParseDatagramTest, RawDlcOfEightByteFrames) {
  std::vector<std::uint8_t> bytes(16);
  bytes[4] = 8;
  for (int dlc = 0; dlc < 256; ++dlc) {
    bytes[7] = static_cast<std::uint8_t>(dlc);
    const auto frame = ParseDatagram(bytes, 0, 0, kNow);
    ASSERT_OK(frame);
    EXPECT_EQ(frame->raw_dlc, dlc >= 9 && dlc <= 15 ? dlc : 0);
  }
}

// --- what comes along ---

class ControlBuffer {
 public:
  template <class Value>
  void Add(int level, int type, const Value& value) {
    header_.msg_control = bytes_;
    header_.msg_controllen = used_ + CMSG_SPACE(sizeof(Value));
    auto* part = reinterpret_cast<cmsghdr*>(bytes_ + used_);
    part->cmsg_level = level;
    part->cmsg_type = type;
    part->cmsg_len = CMSG_LEN(sizeof(Value));
    std::memcpy(CMSG_DATA(part), &value, sizeof(value));
    used_ += CMSG_SPACE(sizeof(Value));
  }
  msghdr& header() { return header_; }

 private:
  alignas(cmsghdr) unsigned char bytes_[256] = {};
  std::size_t used_ = 0;
  msghdr header_{};
};

TEST(ParseControlTest, StampAndDropCounter) {
  ControlBuffer buffer;
  buffer.Add(SOL_SOCKET, SO_TIMESTAMPNS, timespec{1'700'000'000, 123'456'789});
  buffer.Add(SOL_SOCKET, SO_RXQ_OVFL, std::uint32_t{0xFFFFFFFF});
  const Ancillary ancillary = ParseControl(buffer.header());
  EXPECT_EQ(ancillary.time, WallFromNanoseconds(1'700'000'000'123'456'789));
  EXPECT_EQ(ancillary.dropped, 0xFFFFFFFFu);
}

TEST(ParseControlTest, StampsOfKernelAndAdapter) {
  // struct scm_timestamping: [0] software, [2] hardware (Linux networking/timestamping.rst).
  scm_timestamping both{};
  both.ts[0] = {1'700'000'000, 5};
  both.ts[2] = {12, 34};
  ControlBuffer buffer;
  buffer.Add(SOL_SOCKET, SO_TIMESTAMPING, both);
  const Ancillary ancillary = ParseControl(buffer.header());
  EXPECT_EQ(ancillary.time, WallFromNanoseconds(1'700'000'000'000'000'005));
  EXPECT_EQ(ancillary.hardware, Duration(12'000'000'034));
  scm_timestamping kernel_only{};
  kernel_only.ts[0] = {1'700'000'000, 5};
  ControlBuffer other;
  other.Add(SOL_SOCKET, SO_TIMESTAMPING, kernel_only);
  EXPECT_FALSE(ParseControl(other.header()).hardware);
}

TEST(ParseControlTest, OtherLevelsAndShortPartsAreLeftOut) {
  ControlBuffer buffer;
  buffer.Add(SOL_CAN_BASE, SO_RXQ_OVFL, std::uint32_t{5});
  buffer.Add(SOL_SOCKET, SO_TIMESTAMPNS, std::uint32_t{5});
  const Ancillary ancillary = ParseControl(buffer.header());
  EXPECT_FALSE(ancillary.time);
  EXPECT_FALSE(ancillary.dropped);
}

TEST(ParseControlTest, Nothing) {
  msghdr empty{};
  EXPECT_FALSE(ParseControl(empty).time);
}

}  // namespace
}  // namespace proofdrive::daemon
