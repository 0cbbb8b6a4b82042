#include "session/file/preamble.h"

#include <gtest/gtest.h>

#include "session/model/layout.h"
#include "tests/support/matchers.h"

namespace proofdrive::session {
namespace {

using proofdrive::testing::IsError;
using proofdrive::testing::IsOk;

TEST(Preamble, ComesBack) {
  const auto bytes = MakePreamble(0xCAFE, 0x10);
  EXPECT_EQ(bytes.size(), kPreambleBytes);
  auto preamble = ParsePreamble(bytes);
  ASSERT_OK(preamble);
  EXPECT_EQ(preamble->salt, 0xCAFEU);
  EXPECT_EQ(preamble->incompatible_features, 0x10U);
}

TEST(Preamble, EveryTurnedBitIsNoticed) {
  for (std::size_t i = 0; i < 8 * kPreambleBytes; ++i) {
    auto bytes = MakePreamble(0xCAFE, 0);
    bytes[i / 8] = static_cast<std::uint8_t>(bytes[i / 8] ^ (1U << (i % 8)));
    EXPECT_FALSE(ParsePreamble(bytes).ok()) << i;
  }
}

TEST(Features, UnknownOnesAreRefusedWithAdvice) {
  EXPECT_OK(CheckFeatures(0, "x.session"));
  EXPECT_THAT(CheckFeatures(0x80, "x.session"),
              IsError(ErrorKind::kUnsupportedVersion,
                      "x.session: written by a newer Proofdrive (it uses features 0x80 that this "
                      "version does not know): update Proofdrive to read it"));
}

TEST(ForeignFile, IsDescribed) {
  const auto describe = [](std::vector<std::uint8_t> bytes) { return DescribeForeignFile(bytes); };
  EXPECT_EQ(describe({}), "the file is empty");
  EXPECT_EQ(describe({0x0A, 0x0D, 0x0D, 0x0A, 0x1C}),
            "it looks like a pcapng capture: use `proofdrive import`");
  EXPECT_EQ(describe({0x1F, 0x8B, 8}), "it looks like a gzip file: unpack it first");
  EXPECT_EQ(describe({'v', 'e', 'h', '\n'}), "it looks like a text file");
  EXPECT_EQ(describe({0, 1, 2, 3}), "its first bytes are not those of a session");
}

}  // namespace
}  // namespace proofdrive::session
