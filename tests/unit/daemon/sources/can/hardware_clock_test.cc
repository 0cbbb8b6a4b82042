#include "daemon/sources/can/hardware_clock.h"

#include <gtest/gtest.h>

namespace proofdrive::daemon {
namespace {

using std::chrono::microseconds;
using std::chrono::milliseconds;
using std::chrono::seconds;

const WallTime kStart = WallFromNanoseconds(1'772'366'400'000'000'000);

TEST(HardwareClockTest, LateKernelStampsDoNotMoveAFrame) {
  HardwareClock clock;
  // The adapter counts from its start; the kernel stamps 100 us later, some frames 5 ms later.
  for (int i = 0; i < 1000; ++i) {
    const Duration hardware = milliseconds(10) * i;
    const Duration delay = i % 7 == 3 ? Duration(milliseconds(5)) : Duration(microseconds(100));
    const WallTime mapped = clock.Map(hardware, kStart + hardware + delay);
    const Duration error = mapped - (kStart + hardware + microseconds(100));
    EXPECT_LE(std::chrono::abs(error), microseconds(15)) << i;
  }
}

TEST(HardwareClockTest, NeverAfterTheKernelHadTheFrame) {
  HardwareClock clock;
  for (int i = 0; i < 1000; ++i) {
    const Duration hardware = milliseconds(3) * i;
    const WallTime kernel = kStart + hardware + microseconds(40 + (i * 7919) % 900);
    EXPECT_LE(clock.Map(hardware, kernel), kernel);
  }
}

TEST(HardwareClockTest, FollowsAClockThatIsTooSlowOrTooFast) {
  for (const double drift : {-100e-6, 100e-6}) {
    HardwareClock clock;
    Duration error{0};
    for (int i = 0; i < 100'000; ++i) {
      const Duration true_time = milliseconds(10) * i;  // 1000 s: 100 ms of drift
      const Duration hardware = FromSeconds(ToSeconds(true_time) * (1 + drift));
      error = clock.Map(hardware, kStart + true_time) - (kStart + true_time);
    }
    EXPECT_LE(std::chrono::abs(error), microseconds(10)) << drift;
  }
}

TEST(HardwareClockTest, BeginsAgainWhenEitherClockJumps) {
  HardwareClock clock;
  EXPECT_EQ(clock.Map(seconds(100), kStart), kStart);
  EXPECT_EQ(clock.Map(seconds(101), kStart + seconds(3601)), kStart + seconds(3601)) << "set ahead";
  EXPECT_EQ(clock.Map(seconds(0), kStart + seconds(3602)), kStart + seconds(3602)) << "restarted";
}

}  // namespace
}  // namespace proofdrive::daemon
