#include "output/pcapng/time_resolution.h"

#include <gmock/gmock.h>

#include "tests/support/matchers.h"
#include "tests/unit/output/pcapng/capture_bytes.h"

namespace proofdrive::output {
namespace {

using namespace testing;  // NOLINT: capture_bytes.h

// The resolution of a capture in nanoseconds whose frames have these times, stated in nanoseconds.
std::int64_t Ns(const std::vector<std::uint64_t>& times) {
  const BlockMaker make(ByteOrder::kLittle);
  const Bytes packet = FromHex("00000123 02000000 AABB");
  Bytes bytes = make.Section() + make.Interface({{9, {9}}});
  for (const std::uint64_t time : times) bytes = bytes + make.Packet(0, time, packet);
  proofdrive::testing::MemoryFiles files;
  files.Put("x.pcapng", bytes);
  const auto resolution = ResolutionOf(files, "x.pcapng");
  EXPECT_OK(resolution);
  return resolution.ok() ? resolution->count() : 0;
}

TEST(TimeResolution, IsTheCoarsestThatKeepsEveryTime) {
  EXPECT_EQ(Ns({}), 1000);
  EXPECT_EQ(Ns({5'000'000'000, 5'000'123'000}), 1000);
  EXPECT_EQ(Ns({5'000'000'000, 5'000'123'400}), 100);
  EXPECT_EQ(Ns({5'000'000'010, 5'000'123'000}), 10);
  EXPECT_EQ(Ns({5'000'000'000, 5'000'123'001, 5'000'124'000}), 1);
}

}  // namespace
}  // namespace proofdrive::output
