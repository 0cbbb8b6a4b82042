#include "daemon/pipeline/frame_queue.h"

#include <gmock/gmock.h>

#include <atomic>
#include <thread>

namespace proofdrive::daemon {
namespace {

std::vector<Frame> Frames(std::size_t count, std::uint8_t channel = 0) {
  std::vector<Frame> frames(count);
  for (std::size_t i = 0; i < count; ++i) {
    frames[i].id = static_cast<std::uint32_t>(i);
    frames[i].channel = channel;
  }
  return frames;
}

constexpr Duration kNoWait{0};

TEST(FrameQueueTest, GivesBackWhatWasPutInOrder) {
  FrameQueue queue(8);
  const auto frames = Frames(5);
  queue.Offer(std::span(frames).subspan(0, 2));
  queue.Offer(std::span(frames).subspan(2));
  QueueBatch batch;
  queue.Take(batch, kNoWait);
  EXPECT_EQ(batch.frames, frames);
  EXPECT_TRUE(batch.drops.empty());
  EXPECT_FALSE(batch.closed);
  queue.Take(batch, kNoWait);
  EXPECT_TRUE(batch.empty());
}

TEST(FrameQueueTest, OfferKeepsTheFirstFramesAndCountsTheRestByChannel) {
  FrameQueue queue(4);
  queue.Offer(Frames(3, 1));
  queue.Offer(Frames(3, 2));
  queue.Offer(Frames(2, 1));
  QueueBatch batch;
  queue.Take(batch, kNoWait);
  ASSERT_EQ(batch.frames.size(), 4u);
  EXPECT_EQ(batch.frames[3].channel, 2);
  EXPECT_THAT(batch.drops, ::testing::ElementsAre(::testing::Pair(1, 2), ::testing::Pair(2, 2)));
  queue.Take(batch, kNoWait);
  EXPECT_TRUE(batch.drops.empty()) << "drops are told once";
}

TEST(FrameQueueTest, PutWaitsForRoomAndLosesNothing) {
  FrameQueue queue(16);
  constexpr std::size_t kCount = 5000;
  std::thread source([&] {
    const auto frames = Frames(kCount);
    for (std::size_t i = 0; i < kCount; i += 50) {
      ASSERT_TRUE(queue.Put(std::span(frames).subspan(i, 50)));
    }
    queue.Close();
  });
  std::vector<Frame> got;
  QueueBatch batch;
  do {
    queue.Take(batch, std::chrono::seconds(5));
    EXPECT_LE(batch.frames.size(), 16u);
    got.insert(got.end(), batch.frames.begin(), batch.frames.end());
  } while (!batch.closed || !batch.empty());
  source.join();
  EXPECT_EQ(got, Frames(kCount));
}

TEST(FrameQueueTest, CloseWakesAWaitingPutAndTakesNoMore) {
  FrameQueue queue(2);
  std::atomic<bool> refused{false};
  std::thread source([&] { refused = !queue.Put(Frames(3)); });
  std::this_thread::sleep_for(std::chrono::milliseconds(20));
  queue.Close();
  source.join();
  EXPECT_TRUE(refused);
  EXPECT_FALSE(queue.PutTask([] {}));
  queue.Offer(Frames(1));
  QueueBatch batch;
  queue.Take(batch, kNoWait);
  EXPECT_TRUE(batch.closed);
  EXPECT_EQ(batch.frames.size(), 2u) << "what was inside can still be taken";
  EXPECT_THAT(batch.drops, ::testing::ElementsAre(::testing::Pair(0, 1)));
}

TEST(FrameQueueTest, CountsEventsOverTheLimit) {
  FrameQueue queue(2);
  for (std::size_t i = 0; i < FrameQueue::kEventCapacity + 3; ++i) queue.PutEvent({});
  QueueBatch batch;
  queue.Take(batch, kNoWait);
  EXPECT_EQ(batch.events.size(), FrameQueue::kEventCapacity);
  EXPECT_EQ(batch.dropped_events, 3u);
}

TEST(FrameQueueTest, TaskArrives) {
  FrameQueue queue(2);
  bool ran = false;
  ASSERT_TRUE(queue.PutTask([&] { ran = true; }));
  QueueBatch batch;
  queue.Take(batch, kNoWait);
  ASSERT_EQ(batch.tasks.size(), 1u);
  batch.tasks[0]();
  EXPECT_TRUE(ran);
}

}  // namespace
}  // namespace proofdrive::daemon
