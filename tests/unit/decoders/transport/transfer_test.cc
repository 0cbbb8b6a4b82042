// Sender and receiver of ISO 15765-2: rules from Linux net/can/isotp.c (looked up) and from memory
// of ISO 15765-2 (timeouts of 1000 ms).
#include <gmock/gmock.h>

#include <deque>

#include "decoders/transport/receiver.h"
#include "decoders/transport/sender.h"
#include "tests/support/matchers.h"
#include "tests/unit/decoders/transport/bytes_text.h"

namespace proofdrive::decoders {
namespace {

using namespace std::chrono_literals;
using testing::Counting;
using testing::Hex;
using testing::ToHex;

constexpr SteadyTime kStart{};

TransportLayout Plain() {
  TransportLayout layout;
  layout.padding.reset();
  return layout;
}

// The next frame as text, sent at once; "" when none is due.
template <class Machine>
std::string SendNext(Machine& machine, SteadyTime now) {
  const auto data = machine.Next(now);
  if (!data) return "";
  machine.OnSent(now);
  return ToHex(*data);
}

Sender Started(const std::vector<std::uint8_t>& message, SenderLimits limits = {}) {
  Sender sender(Plain(), limits);
  EXPECT_OK(sender.Start(message, kStart));
  return sender;
}

TEST(SenderTest, SingleFrameIsDoneWhenItIsSent) {
  Sender sender = Started(Hex("3E00"));
  const auto data = sender.Next(kStart);
  ASSERT_TRUE(data);
  EXPECT_EQ(sender.state(), TransferState::kActive);
  EXPECT_FALSE(sender.Next(kStart)) << "not twice";
  sender.OnSent(kStart);
  EXPECT_EQ(sender.state(), TransferState::kDone);
  EXPECT_FALSE(sender.deadline());
}

TEST(SenderTest, WaitsForFlowControlAndThenKeepsTheSeparation) {
  Sender sender = Started(Counting(20));
  EXPECT_EQ(SendNext(sender, kStart), "10 14 00 01 02 03 04 05");
  EXPECT_EQ(SendNext(sender, kStart + 10ms), "");
  sender.OnFrame(Hex("30 00 14"), kStart + 20ms);
  EXPECT_EQ(SendNext(sender, kStart + 20ms), "21 06 07 08 09 0A 0B 0C");
  EXPECT_EQ(sender.deadline(), kStart + 40ms);
  EXPECT_EQ(SendNext(sender, kStart + 39ms), "");
  EXPECT_EQ(SendNext(sender, kStart + 40ms), "22 0D 0E 0F 10 11 12 13");
  EXPECT_EQ(sender.state(), TransferState::kDone);
}

TEST(SenderTest, SeparationInMicroseconds) {
  Sender sender = Started(Counting(20));
  SendNext(sender, kStart);
  sender.OnFrame(Hex("30 00 F3"), kStart);
  SendNext(sender, kStart);
  EXPECT_EQ(SendNext(sender, kStart + 299us), "");
  EXPECT_NE(SendNext(sender, kStart + 300us), "");
}

TEST(SenderTest, FlowControlAfterEveryBlock) {
  Sender sender = Started(Counting(6 + 5 * 7));
  SendNext(sender, kStart);
  sender.OnFrame(Hex("30 02 00"), kStart);
  EXPECT_EQ(SendNext(sender, kStart).substr(0, 2), "21");
  EXPECT_EQ(SendNext(sender, kStart).substr(0, 2), "22");
  EXPECT_EQ(SendNext(sender, kStart), "");
  sender.OnFrame(Hex("30 02 00"), kStart);
  EXPECT_EQ(SendNext(sender, kStart).substr(0, 2), "23");
  EXPECT_EQ(SendNext(sender, kStart).substr(0, 2), "24");
  EXPECT_EQ(SendNext(sender, kStart), "");
  sender.OnFrame(Hex("30 02 00"), kStart);
  EXPECT_EQ(SendNext(sender, kStart).substr(0, 2), "25");
  EXPECT_EQ(sender.state(), TransferState::kDone);
}

TEST(SenderTest, OnlyTheFirstFlowControlSetsBlockAndSeparation) {
  Sender sender = Started(Counting(6 + 4 * 7));
  SendNext(sender, kStart);
  sender.OnFrame(Hex("30 02 00"), kStart);
  SendNext(sender, kStart);
  SendNext(sender, kStart);
  sender.OnFrame(Hex("30 01 7F"), kStart);
  EXPECT_NE(SendNext(sender, kStart), "");
  EXPECT_NE(SendNext(sender, kStart), "");
  EXPECT_EQ(sender.state(), TransferState::kDone);
}

TEST(SenderTest, WaitFramesRestartTheTime) {
  Sender sender = Started(Counting(20));
  SendNext(sender, kStart);
  sender.OnFrame(Hex("31 00 00"), kStart + 900ms);
  sender.Advance(kStart + 1800ms);
  EXPECT_EQ(sender.state(), TransferState::kActive);
  sender.OnFrame(Hex("30 00 00"), kStart + 1850ms);
  EXPECT_NE(SendNext(sender, kStart + 1850ms), "");
}

TEST(SenderTest, EndlessWaitFramesEndTheTransfer) {
  Sender sender = Started(Counting(20));
  SendNext(sender, kStart);
  SteadyTime now = kStart;
  for (int i = 0; i < 1000 && sender.state() == TransferState::kActive; ++i) {
    sender.OnFrame(Hex("31 00 00"), now += 100ms);
    sender.Advance(now);
  }
  EXPECT_EQ(sender.state(), TransferState::kFailed);
  EXPECT_EQ(sender.problem(), TransferProblem::kTooManyWaits);
  EXPECT_LT(now, kStart + 2s);
}

TEST(SenderTest, Problems) {
  struct Case {
    const char* frame;
    TransferProblem problem;
  };
  for (const Case& c : {Case{"32 00 00", TransferProblem::kOverflow},
                        Case{"33 00 00", TransferProblem::kInvalidFlowStatus},
                        Case{"3F 00 00", TransferProblem::kInvalidFlowStatus}}) {
    Sender sender = Started(Counting(20));
    SendNext(sender, kStart);
    sender.OnFrame(Hex(c.frame), kStart);
    EXPECT_EQ(sender.state(), TransferState::kFailed) << c.frame;
    EXPECT_EQ(sender.problem(), c.problem) << c.frame;
    EXPECT_EQ(SendNext(sender, kStart), "");
  }
}

TEST(SenderTest, Timeouts) {
  Sender sender = Started(Counting(20));
  SendNext(sender, kStart);
  sender.Advance(kStart + 999ms);
  EXPECT_EQ(sender.state(), TransferState::kActive);
  sender.Advance(kStart + 1000ms);
  EXPECT_EQ(sender.problem(), TransferProblem::kFlowControlTimeout);

  Sender stuck = Started(Counting(20));
  EXPECT_TRUE(stuck.Next(kStart));  // and nobody says it was sent
  stuck.Advance(kStart + 1000ms);
  EXPECT_EQ(stuck.problem(), TransferProblem::kSendTimeout);
}

TEST(SenderTest, IgnoresFlowControlNobodyAwaits) {
  Sender sender = Started(Counting(20));
  sender.OnFrame(Hex("32 00 00"), kStart);  // before the first frame
  SendNext(sender, kStart);
  sender.OnFrame(Hex("02 3E 00"), kStart);  // no flow control
  sender.OnFrame(Hex("30 00"), kStart);     // too short
  EXPECT_EQ(SendNext(sender, kStart), "");
  sender.OnFrame(Hex("30 00 00"), kStart);
  SendNext(sender, kStart);
  sender.OnFrame(Hex("32 00 00"), kStart);  // within a block
  EXPECT_NE(SendNext(sender, kStart), "");
  EXPECT_EQ(sender.state(), TransferState::kDone);
}

TEST(SenderTest, ExtendedAddressing) {
  TransportLayout layout = Plain();
  layout.sent_address = 0x10;
  layout.received_address = 0xF1;
  Sender sender(layout);
  ASSERT_OK(sender.Start(Counting(10), kStart));
  EXPECT_EQ(SendNext(sender, kStart), "10 10 0A 00 01 02 03 04");
  sender.OnFrame(Hex("10 30 00 00"), kStart);  // for somebody else
  EXPECT_EQ(SendNext(sender, kStart), "");
  sender.OnFrame(Hex("F1 30 00 00"), kStart);
  EXPECT_EQ(SendNext(sender, kStart), "10 21 05 06 07 08 09");
}

TEST(SenderTest, RefusesWhatItCannotSend) {
  Sender sender(Plain());
  EXPECT_EQ(sender.Start({}, kStart).kind(), ErrorKind::kInvalidArgument);
  EXPECT_EQ(sender.Start(Counting(0x10000), kStart).message(),
            "a message of 65,536 bytes cannot be sent");
}

TEST(ReceiverTest, SingleFrame) {
  Receiver receiver(Plain());
  receiver.OnFrame(Hex("02 7E 00 AA AA AA AA AA"), kStart);
  const auto message = receiver.Take();
  ASSERT_TRUE(message);
  EXPECT_EQ(ToHex(message->bytes), "7E 00");
  EXPECT_EQ(SendNext(receiver, kStart), "");
  EXPECT_FALSE(receiver.Take());
}

TEST(ReceiverTest, GrantsBlocks) {
  ReceiverLimits limits;
  limits.block_size = 2;
  limits.separation = 0x0A;
  Receiver receiver(Plain(), limits);
  receiver.OnFrame(Hex("10 1B 00 01 02 03 04 05"), kStart);
  EXPECT_EQ(SendNext(receiver, kStart), "30 02 0A");
  receiver.OnFrame(Hex("21 06 07 08 09 0A 0B 0C"), kStart);
  EXPECT_EQ(SendNext(receiver, kStart), "");
  receiver.OnFrame(Hex("22 0D 0E 0F 10 11 12 13"), kStart);
  EXPECT_EQ(SendNext(receiver, kStart), "30 02 0A");
  receiver.OnFrame(Hex("23 14 15 16 17 18 19 1A"), kStart);
  EXPECT_EQ(receiver.Take()->bytes, Counting(27));
}

TEST(ReceiverTest, WrongSequenceNumber) {
  Receiver receiver(Plain());
  receiver.OnFrame(Hex("10 14 00 01 02 03 04 05"), kStart);
  SendNext(receiver, kStart);
  receiver.OnFrame(Hex("22 06 07 08 09 0A 0B 0C"), kStart);
  const auto message = receiver.Take();
  ASSERT_TRUE(message);
  EXPECT_EQ(message->problem, TransferProblem::kWrongSequence);
  EXPECT_EQ(message->announced, 20u);
  EXPECT_FALSE(receiver.receiving());
}

TEST(ReceiverTest, ANewMessageReplacesAnUnfinishedOne) {
  Receiver receiver(Plain());
  receiver.OnFrame(Hex("10 14 00 01 02 03 04 05"), kStart);
  SendNext(receiver, kStart);
  receiver.OnFrame(Hex("02 7E 00"), kStart);
  EXPECT_EQ(receiver.Take()->problem, TransferProblem::kUnexpectedFrame);
  EXPECT_EQ(ToHex(receiver.Take()->bytes), "7E 00");
  receiver.OnFrame(Hex("21 06 07 08 09 0A 0B 0C"), kStart);  // of the old one
  EXPECT_FALSE(receiver.Take());
}

TEST(ReceiverTest, Timeouts) {
  Receiver receiver(Plain());
  receiver.OnFrame(Hex("10 14 00 01 02 03 04 05"), kStart);
  SendNext(receiver, kStart);
  receiver.Advance(kStart + 999ms);
  receiver.OnFrame(Hex("21 06 07 08 09 0A 0B 0C"), kStart + 999ms);
  receiver.Advance(kStart + 1998ms);
  EXPECT_TRUE(receiver.receiving());
  receiver.Advance(kStart + 1999ms);
  EXPECT_EQ(receiver.Take()->problem, TransferProblem::kFrameTimeout);

  receiver.OnFrame(Hex("10 14 00 01 02 03 04 05"), kStart);
  EXPECT_TRUE(receiver.Next(kStart));  // and nobody says it was sent
  receiver.Advance(kStart + 1s);
  EXPECT_EQ(receiver.Take()->problem, TransferProblem::kSendTimeout);
}

TEST(ReceiverTest, RefusesMoreThanItTakesWithoutMakingRoom) {
  ReceiverLimits limits;
  limits.message = 100;
  Receiver receiver(Plain(), limits);
  receiver.OnFrame(Hex("10 00 FF FF FF FF 01 02"), kStart);
  EXPECT_EQ(SendNext(receiver, kStart), "32 00 00");
  const auto message = receiver.Take();
  ASSERT_TRUE(message);
  EXPECT_EQ(message->problem, TransferProblem::kTooLong);
  EXPECT_EQ(message->announced, 0xFFFFFFFFu);
  EXPECT_LE(message->bytes.capacity(), 8u);
}

TEST(ReceiverTest, HoldsTheSenderBackWhileNotReady) {
  ReceiverLimits limits;
  limits.waits = 2;
  Receiver receiver(Plain(), limits);
  receiver.SetReady(false);
  receiver.OnFrame(Hex("10 14 00 01 02 03 04 05"), kStart);
  EXPECT_EQ(SendNext(receiver, kStart), "31 00 00");
  EXPECT_EQ(SendNext(receiver, kStart + 399ms), "");
  EXPECT_EQ(SendNext(receiver, kStart + 400ms), "31 00 00");
  receiver.SetReady(true);
  EXPECT_EQ(SendNext(receiver, kStart + 800ms), "30 00 00");

  receiver.SetReady(false);
  receiver.OnFrame(Hex("10 14 00 01 02 03 04 05"), kStart);
  SendNext(receiver, kStart);
  SendNext(receiver, kStart + 400ms);
  EXPECT_EQ(SendNext(receiver, kStart + 800ms), "");
  receiver.Take();  // the one that was replaced
  EXPECT_EQ(receiver.Take()->problem, TransferProblem::kTooManyWaits);
}

TEST(ReceiverTest, IgnoresStrayFrames) {
  Receiver receiver(Plain());
  receiver.OnFrame(Hex("21 06 07 08 09 0A 0B 0C"), kStart);
  receiver.OnFrame(Hex("30 00 00"), kStart);
  EXPECT_FALSE(receiver.Take());
  receiver.OnFrame(Hex("10 14 00 01 02 03 04 05"), kStart);
  SendNext(receiver, kStart);
  receiver.OnFrame(Hex("21 06 07 08"), kStart);  // short, and not the last
  EXPECT_TRUE(receiver.receiving());
  receiver.OnFrame(Hex("21 06 07 08 09 0A 0B 0C"), kStart);
  receiver.OnFrame(Hex("22 0D 0E 0F 10 11 12 13"), kStart);
  EXPECT_EQ(receiver.Take()->bytes, Counting(20));
}

TEST(ReceiverTest, FinishedMessagesNobodyTakesDoNotPileUp) {
  Receiver receiver(Plain());
  for (int i = 0; i < 5000; ++i) receiver.OnFrame(Hex("02 7E 00"), kStart);
  int taken = 0;
  while (receiver.Take()) ++taken;
  EXPECT_EQ(taken, 64);
}

// Sender and receiver against each other, with a clock that jumps to the next deadline.
std::vector<std::uint8_t> Carry(const TransportLayout& to, const TransportLayout& back,
                                const ReceiverLimits& limits,
                                const std::vector<std::uint8_t>& message, SteadyTime& now) {
  SenderLimits sending;
  sending.message = 1 << 20;
  Sender sender(to, sending);
  Receiver receiver(back, limits);
  EXPECT_OK(sender.Start(message, now));
  while (true) {
    bool moved = false;
    while (const auto data = sender.Next(now)) {
      sender.OnSent(now);
      receiver.OnFrame(*data, now);
      moved = true;
    }
    while (const auto data = receiver.Next(now)) {
      receiver.OnSent(now);
      sender.OnFrame(*data, now);
      moved = true;
    }
    if (const auto done = receiver.Take()) {
      EXPECT_EQ(done->problem, TransferProblem::kNone);
      EXPECT_EQ(sender.state(), TransferState::kDone);
      return done->bytes;
    }
    if (moved) continue;
    if (!sender.deadline()) return {};
    now = *sender.deadline();
    sender.Advance(now);
    receiver.Advance(now);
  }
}

TEST(TransferTest, EveryLengthArrives) {
  for (const std::uint8_t bytes : {std::uint8_t{8}, std::uint8_t{64}}) {
    TransportLayout layout;
    layout.frame_bytes = bytes;
    for (std::size_t length = 1; length <= 4200; length += length < 600 ? 1 : 101) {
      SteadyTime now = kStart;
      const auto message = Counting(length);
      ASSERT_EQ(Carry(layout, layout, {}, message, now), message) << length;
    }
  }
}

TEST(TransferTest, BlocksSeparationAndAddresses) {
  TransportLayout to = Plain();
  to.sent_address = 0x10;
  to.received_address = 0xF1;
  TransportLayout back = Plain();
  back.sent_address = 0xF1;
  back.received_address = 0x10;
  for (const int block : {0, 1, 7, 255}) {
    for (const int separation : {0x00, 0x05, 0xF2}) {
      ReceiverLimits limits;
      limits.block_size = static_cast<std::uint8_t>(block);
      limits.separation = static_cast<std::uint8_t>(separation);
      limits.message = 1 << 20;
      SteadyTime now = kStart;
      const auto message = Counting(5000);
      ASSERT_EQ(Carry(to, back, limits, message, now), message);
      // 2 bytes of the first frame (address, type, 4 of length), then 6 per frame.
      const std::int64_t frames = (5000 - 1 + 5) / 6;
      if (block == 0) {
        EXPECT_EQ(now - kStart, SeparationTime(limits.separation) * (frames - 1));
      }
    }
  }
}

}  // namespace
}  // namespace proofdrive::decoders
