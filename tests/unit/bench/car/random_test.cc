#include "bench/car/random.h"

#include <gtest/gtest.h>

namespace proofdrive::bench {
namespace {

TEST(RandomTest, SameSeedAndStreamGiveTheSameNumbers) {
  Random a(7, 1);
  Random b(7, 1);
  for (int i = 0; i < 1000; ++i) ASSERT_EQ(a.Next(), b.Next());
}

TEST(RandomTest, SeedsAndStreamsAreIndependent) {
  Random a(7, 1);
  Random other_seed(8, 1);
  Random other_stream(7, 2);
  const std::uint64_t first = a.Next();
  EXPECT_NE(first, other_seed.Next());
  EXPECT_NE(first, other_stream.Next());
}

TEST(RandomTest, UniformFillsItsRangeEvenly) {
  Random random(1, 1);
  int buckets[10] = {};
  for (int i = 0; i < 100'000; ++i) {
    const double x = random.Uniform();
    ASSERT_GE(x, 0);
    ASSERT_LT(x, 1);
    ++buckets[static_cast<int>(x * 10)];
  }
  // Five standard deviations of a binomial count: sqrt(1e5 * 0.1 * 0.9) = 95.
  for (const int count : buckets) EXPECT_NEAR(count, 10'000, 475);
}

TEST(RandomTest, NormalHasMeanZeroAndVarianceOne) {
  Random random(1, 1);
  double sum = 0;
  double squares = 0;
  constexpr int kCount = 100'000;
  for (int i = 0; i < kCount; ++i) {
    const double x = random.Normal();
    sum += x;
    squares += x * x;
  }
  EXPECT_NEAR(sum / kCount, 0, 0.016);
  EXPECT_NEAR(squares / kCount, 1, 0.03);
}

TEST(RandomTest, BelowReachesEveryValueAndNoMore) {
  Random random(3, 1);
  bool seen[7] = {};
  for (int i = 0; i < 1000; ++i) {
    const std::uint32_t n = random.Below(7);
    ASSERT_LT(n, 7u);
    seen[n] = true;
  }
  for (const bool value : seen) EXPECT_TRUE(value);
}

}  // namespace
}  // namespace proofdrive::bench
