#include "session/chunk/chunk_feed.h"

#include <gtest/gtest.h>

#include <atomic>
#include <set>
#include <thread>

#include "tests/support/matchers.h"

namespace proofdrive::session {
namespace {

using proofdrive::testing::IsError;
using proofdrive::testing::IsOk;

// A chunk whose order column says which chunk it is.
Status Numbered(std::size_t number, ChunkDecoder&, ChunkFrames& frames) {
  frames.order.assign(3, static_cast<std::uint32_t>(number));
  return Status::Ok();
}

TEST(ChunkFeed, ChunksComeInOrderWhateverTheNumberOfThreads) {
  for (const unsigned threads : {1U, 2U, 3U, 8U}) {
    for (const std::size_t count : {0U, 1U, 2U, 100U}) {
      ChunkFeed feed(Numbered, count, threads);
      for (std::uint32_t i = 0; i < count; ++i) {
        const auto frames = feed.Next();
        ASSERT_OK(frames);
        EXPECT_EQ((*frames)->order, std::vector<std::uint32_t>(3, i));
      }
    }
  }
}

TEST(ChunkFeed, AFailedChunkCostsOnlyItself) {
  const auto load = [](std::size_t number, ChunkDecoder& decoder, ChunkFrames& frames) {
    if (number % 3 == 1) return Status(ErrorKind::kCorrupt, "chunk " + std::to_string(number));
    return Numbered(number, decoder, frames);
  };
  for (const unsigned threads : {1U, 2U}) {
    ChunkFeed feed(load, 20, threads);
    for (std::uint32_t i = 0; i < 20; ++i) {
      const auto frames = feed.Next();
      if (i % 3 == 1) {
        EXPECT_THAT(frames, IsError(ErrorKind::kCorrupt, "chunk " + std::to_string(i)));
      } else {
        ASSERT_OK(frames);
        EXPECT_EQ((*frames)->order.front(), i);
      }
    }
  }
}

TEST(ChunkFeed, OnlyAFewChunksAreLoadedAhead) {
  std::atomic<std::size_t> loaded = 0;
  const auto load = [&](std::size_t number, ChunkDecoder& decoder, ChunkFrames& frames) {
    ++loaded;
    return Numbered(number, decoder, frames);
  };
  ChunkFeed feed(load, 1000, 2);
  for (std::size_t given = 1; given <= 50; ++given) {
    ASSERT_OK(feed.Next());
    std::this_thread::yield();
    EXPECT_LE(loaded, given + 3);
  }
}

TEST(ChunkFeed, AReaderThatStopsEarlyWaitsForNothingElse) {
  std::atomic<std::size_t> loaded = 0;
  {
    ChunkFeed feed(
        [&](std::size_t number, ChunkDecoder& decoder, ChunkFrames& frames) {
          ++loaded;
          return Numbered(number, decoder, frames);
        },
        1000, 4);
    ASSERT_OK(feed.Next());
  }
  EXPECT_LE(loaded, 8U);
}

TEST(ChunkFeed, OneThreadIsTheReadingOne) {
  std::set<std::thread::id> threads;
  const auto load = [&](std::size_t number, ChunkDecoder& decoder, ChunkFrames& frames) {
    threads.insert(std::this_thread::get_id());
    return Numbered(number, decoder, frames);
  };
  ChunkFeed feed(load, 5, 1);
  for (int i = 0; i < 5; ++i) ASSERT_OK(feed.Next());
  EXPECT_EQ(threads, std::set{std::this_thread::get_id()});
}

}  // namespace
}  // namespace proofdrive::session
