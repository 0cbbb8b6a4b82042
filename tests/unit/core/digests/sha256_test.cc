#include "core/digests/sha256.h"

#include <gtest/gtest.h>

#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

namespace proofdrive {
namespace {

ByteSpan Bytes(const std::string& text) {
  return {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()};
}

// FIPS 180-4 examples as published by NIST (SHA256.pdf of its example values): one block, two
// blocks; the empty message from the test vectors of the same programme (from memory).
TEST(Sha256, PublishedValues) {
  EXPECT_EQ(Sha256(Bytes("abc")),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(Sha256(Bytes("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq")),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  EXPECT_EQ(Sha256({}), "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
}

TEST(Sha256OfFile, IsThatOfItsBytesAlsoOverSeveralPieces) {
  testing::MemoryFiles files;
  const std::string text(3'000'001, 'x');
  files.Put("big", {text.begin(), text.end()});
  const auto hash = Sha256OfFile(files, "big");
  ASSERT_OK(hash);
  EXPECT_EQ(*hash, Sha256(Bytes(text)));
}

TEST(Sha256OfFile, MissingFileIsAnError) {
  testing::MemoryFiles files;
  EXPECT_FALSE(Sha256OfFile(files, "none").ok());
}

}  // namespace
}  // namespace proofdrive
