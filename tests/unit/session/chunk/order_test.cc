#include "session/chunk/order.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>

#include "tests/support/matchers.h"

namespace proofdrive::session {
namespace {

using proofdrive::testing::IsError;
using proofdrive::testing::IsOk;
using Numbers = std::vector<std::uint32_t>;
using Column = std::vector<std::int64_t>;

StreamTimes View(const std::vector<Column>& columns) { return {columns.begin(), columns.end()}; }

void ExpectRoundTrip(const Numbers& arrival, const std::vector<Column>& columns,
                     OrderCoding coding) {
  const Order order = EncodeOrder(arrival, View(columns));
  EXPECT_EQ(order.coding, coding);
  OrderBuffers buffers;
  ASSERT_OK(DecodeOrder(order.coding, order.bytes, View(columns), buffers));
  EXPECT_EQ(buffers.order, arrival);
}

TEST(Order, SortedByTimeCostsNothing) {
  const std::vector<Column> columns = {{0, 20, 40}, {10, 30}};
  EXPECT_TRUE(EncodeOrder(Numbers{0, 1, 0, 1, 0}, View(columns)).bytes.empty());
  ExpectRoundTrip({0, 1, 0, 1, 0}, columns, OrderCoding::kSortedByTime);
}

TEST(Order, EqualTimesInTheOtherOrderAreOneMove) {
  Column even, odd;
  Numbers arrival;
  for (int i = 0; i < 50; ++i) {
    even.push_back(i * 10);
    odd.push_back(i == 20 ? i * 10 : i * 10 + 5);
    arrival.push_back(i == 20 ? 1 : 0);
    arrival.push_back(i == 20 ? 0 : 1);
  }
  EXPECT_EQ(EncodeOrder(arrival, View({even, odd})).bytes, (std::vector<std::uint8_t>{40, 1}));
  ExpectRoundTrip(arrival, {even, odd}, OrderCoding::kSortedByTime);
}

TEST(Order, OneChannelFarBehindTheOtherIsStoredPlainly) {
  Column early, late;
  Numbers arrival;
  for (int i = 0; i < 500; ++i) {
    early.push_back(i * 10 + 100'000);
    late.push_back(i * 10);
    arrival.insert(arrival.end(), {0, 1});
  }
  ExpectRoundTrip(arrival, {early, late}, OrderCoding::kStreamNumbers);
}

TEST(Order, TimesThatAreYearsApart) {
  constexpr std::int64_t kFar = std::int64_t{1} << 62;
  ExpectRoundTrip({1, 0, 1, 0}, {{0, kFar}, {-kFar, 5}}, OrderCoding::kSortedByTime);
  ExpectRoundTrip({0, 1, 0, 1}, {{0, kFar}, {-kFar, 5}}, OrderCoding::kStreamNumbers);
}

// Spread evenly, in bursts, all at once, and far apart: each is sorted in another way.
TEST(Order, SortsLikeAComparingSort) {
  std::mt19937_64 random(7);
  for (const std::uint64_t width : {std::uint64_t{0}, std::uint64_t{50}, std::uint64_t{100'000},
                                    std::uint64_t{1} << 40, std::uint64_t{1} << 62}) {
    for (const std::size_t burst : {1U, 100U}) {
      std::vector<Column> columns(9);
      std::vector<std::pair<std::int64_t, std::uint32_t>> expected;
      for (std::size_t i = 0; i < 3000; ++i) {
        const auto number = static_cast<std::uint32_t>(random() % columns.size());
        const auto time = static_cast<std::int64_t>(random() % (width + 1) / burst) - 1000;
        columns[number].push_back(i % 1000 == 0 ? time + static_cast<std::int64_t>(width) : time);
        expected.emplace_back(columns[number].back(), number);
      }
      std::sort(expected.begin(), expected.end());
      OrderBuffers buffers;
      SortByTime(View(columns), buffers);
      ASSERT_EQ(buffers.order.size(), expected.size());
      for (std::size_t i = 0; i < expected.size(); ++i) {
        ASSERT_EQ(buffers.order[i], expected[i].second) << "width " << width << ", frame " << i;
      }
    }
  }
}

TEST(Order, NumbersThatNameNoFrameAreRefused) {
  const std::vector<Column> columns = {{0, 1}, {2}};
  OrderBuffers buffers;
  EXPECT_THAT(
      DecodeOrder(OrderCoding::kStreamNumbers, std::vector<std::uint8_t>{0, 1, 1}, View(columns),
                  buffers),
      IsError(ErrorKind::kCorrupt, "the order column names a stream that has no more frames"));
  EXPECT_THAT(
      DecodeOrder(OrderCoding::kStreamNumbers, std::vector<std::uint8_t>{0, 1, 2}, View(columns),
                  buffers),
      IsError(ErrorKind::kCorrupt, "the order column names a stream that has no more frames"));
  EXPECT_THAT(DecodeOrder(OrderCoding::kStreamNumbers, std::vector<std::uint8_t>{0, 1},
                          View(columns), buffers),
              IsError(ErrorKind::kCorrupt, "the order column has the wrong size"));
}

TEST(Order, MovesOutOfTheChunkAreRefused) {
  const std::vector<Column> columns = {{0, 1}, {2}};
  OrderBuffers buffers;
  for (const std::vector<std::uint8_t>& bytes : {std::vector<std::uint8_t>{2, 1},
                                                 {0, 0},
                                                 {0, 3},
                                                 {0xFF},
                                                 {0},
                                                 {0xFF, 0xFF, 0xFF, 0xFF, 1}}) {
    EXPECT_THAT(DecodeOrder(OrderCoding::kSortedByTime, bytes, View(columns), buffers),
                IsError(ErrorKind::kCorrupt, "the order column moves a frame out of the chunk"));
  }
}

}  // namespace
}  // namespace proofdrive::session
