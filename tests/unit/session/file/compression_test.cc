#include "session/file/compression.h"

#include <gtest/gtest.h>

#include "tests/support/matchers.h"

namespace proofdrive::session {
namespace {

using proofdrive::testing::IsError;
using proofdrive::testing::IsOk;

TEST(Compression, RegularBytesBecomeSmallAndComeBack) {
  const std::vector<std::uint8_t> bytes(5000, 7);
  Compressor compressor(3);
  const Compressed compressed = compressor.Compress(bytes);
  EXPECT_EQ(compressed.codec, Codec::kZstd);
  EXPECT_LT(compressed.bytes.size(), 50U);
  std::vector<std::uint8_t> out(bytes.size());
  Decompressor decompressor;
  ASSERT_OK(decompressor.Decompress(compressed.codec, compressed.bytes, out));
  EXPECT_EQ(out, bytes);
}

TEST(Compression, ShortBytesStayAsTheyAre) {
  Compressor compressor(3);
  const Compressed compressed = compressor.Compress(std::vector<std::uint8_t>{1, 2, 3});
  EXPECT_EQ(compressed.codec, Codec::kNone);
  EXPECT_EQ(compressed.bytes, (std::vector<std::uint8_t>{1, 2, 3}));
}

TEST(Decompression, NeverWritesMoreThanWasAskedFor) {
  const std::vector<std::uint8_t> bytes(5000, 7);
  Compressor compressor(3);
  const Compressed compressed = compressor.Compress(bytes);
  Decompressor decompressor;
  for (const std::size_t size : {std::size_t{0}, std::size_t{1}, std::size_t{4999}}) {
    std::vector<std::uint8_t> out(size);
    const Status status = decompressor.Decompress(compressed.codec, compressed.bytes, out);
    ASSERT_FALSE(status.ok());
    EXPECT_EQ(status.kind(), ErrorKind::kCorrupt);
  }
  std::vector<std::uint8_t> larger(5001);
  EXPECT_THAT(decompressor.Decompress(compressed.codec, compressed.bytes, larger),
              IsError(ErrorKind::kCorrupt, "a block has the wrong size"));
}

TEST(Decompression, RefusesAnUnknownCodec) {
  std::vector<std::uint8_t> out(3);
  const std::vector<std::uint8_t> bytes(3);
  EXPECT_FALSE(Decompressor().Decompress(static_cast<Codec>(9), bytes, out).ok());
}

}  // namespace
}  // namespace proofdrive::session
