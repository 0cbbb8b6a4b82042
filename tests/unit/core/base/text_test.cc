#include "core/base/text.h"

#include <gtest/gtest.h>

#include <limits>

#include "tests/support/matchers.h"

namespace proofdrive {
namespace {

using ::proofdrive::testing::IsError;

TEST(NumberTest, UnsignedDecimalAndHexadecimal) {
  EXPECT_EQ(ParseUint64("0").value(), 0U);
  EXPECT_EQ(ParseUint64("0x2A1").value(), 0x2A1U);
  EXPECT_EQ(ParseUint64("18446744073709551615").value(), ~std::uint64_t{0});
  for (const char* text : {"", "-1", "1 ", "0x", "12a", "18446744073709551616", "0xG"}) {
    EXPECT_FALSE(ParseUint64(text).ok()) << text;
  }
}

TEST(NumberTest, SignedLimits) {
  EXPECT_EQ(ParseInt64("-9223372036854775808").value(), std::numeric_limits<std::int64_t>::min());
  EXPECT_EQ(ParseInt64("9223372036854775807").value(), std::numeric_limits<std::int64_t>::max());
  EXPECT_FALSE(ParseInt64("9223372036854775808").ok());
  EXPECT_FALSE(ParseInt64("-9223372036854775809").ok());
  EXPECT_FALSE(ParseInt64("--1").ok());
}

TEST(NumberTest, DoublesAreFinite) {
  EXPECT_EQ(ParseDouble("-40.5").value(), -40.5);
  EXPECT_EQ(ParseDouble("1e-3").value(), 0.001);
  for (const char* text : {"", "inf", "nan", "1,5", "1e999", "0x10", "1.5 V"}) {
    EXPECT_THAT(ParseDouble(text), IsError(ErrorKind::kInvalidArgument,
                                           "\"" + std::string(text) + "\" is not a number"));
  }
}

TEST(NumberTest, ShortestTextReadsBack) {
  EXPECT_EQ(FormatDouble(0.1), "0.1");
  EXPECT_EQ(FormatDouble(400), "400");
  for (const double value : {1.0 / 3, 1e300, -5e-324, 12.600000381469727}) {
    EXPECT_EQ(ParseDouble(FormatDouble(value)).value(), value);
  }
}

TEST(Text, ByteCountsForPeople) {
  EXPECT_EQ(FormatByteCount(1), "1 byte");
  EXPECT_EQ(FormatByteCount(9'999), "9,999 bytes");
  EXPECT_EQ(FormatByteCount(10'000), "10 kB");
  EXPECT_EQ(FormatByteCount(6'792'112), "6.79 MB");
  EXPECT_EQ(FormatByteCount(65'127'751'680), "65.13 GB");
}

TEST(NumberTest, CountsInGroupsOfThree) {
  EXPECT_EQ(FormatCount(0), "0");
  EXPECT_EQ(FormatCount(999), "999");
  EXPECT_EQ(FormatCount(1000), "1,000");
  EXPECT_EQ(FormatCount(1234567), "1,234,567");
  EXPECT_EQ(CountOf(0, "frame"), "0 frames");
  EXPECT_EQ(CountOf(1, "frame"), "1 frame");
  EXPECT_EQ(CountOf(1234, "frame"), "1,234 frames");
}

// Multiples of IEC 80000-13: kB = 1000, KiB = 1024.
TEST(ParseByteCountTest, ReadsSizes) {
  EXPECT_EQ(ParseByteCount("20").value(), 20u);
  EXPECT_EQ(ParseByteCount("500 MB").value(), 500'000'000u);
  EXPECT_EQ(ParseByteCount("1.5GB").value(), 1'500'000'000u);
  EXPECT_EQ(ParseByteCount("2 kB").value(), 2000u);
  EXPECT_EQ(ParseByteCount(" 64 MiB ").value(), 67'108'864u);
  for (const char* text : {"", "MB", "5 mb", "-1 MB", "1..2 GB", "5 GBit", "99999999 TB"}) {
    EXPECT_THAT(ParseByteCount(text),
                IsError(ErrorKind::kInvalidArgument,
                        "\"" + std::string(text) +
                            "\" is not a size: write for example \"500 MB\" or \"20 GB\""));
  }
}

TEST(NearestNameTest, FindsSlipsOfThePenOnly) {
  const std::vector<std::string> keys = {"scale", "offset", "signed", "states"};
  EXPECT_EQ(NearestName("scael", keys), "scale");
  EXPECT_EQ(NearestName("offest", keys), "offset");
  EXPECT_EQ(NearestName("state", keys), "states");
  EXPECT_EQ(NearestName("wavelength", keys), "");
  EXPECT_EQ(NearestName("x", {}), "");
}

TEST(NearestNameTest, HasLimits) {
  std::vector<std::string> many(1000, "wavelength");
  many.push_back("scale");
  EXPECT_EQ(NearestName("scael", many), "");
  const std::string longest(80, 'x');
  EXPECT_EQ(NearestName(longest, std::vector<std::string>{longest + "y"}), longest + "y");
  EXPECT_EQ(NearestName(longest + "x", std::vector<std::string>{longest}), "");
}

TEST(CutTextTest, KeepsWholeCharacters) {
  EXPECT_EQ(CutText("abc", 3), "abc");
  EXPECT_EQ(CutText("abcd", 3), "abc...");
  EXPECT_EQ(CutText("ab\xC3\xBC", 3), "ab...");
}

TEST(HexTest, BothWays) {
  EXPECT_EQ(HexBytes(ParseHexBytes("DE ad BEef").value()), "DE AD BE EF");
  EXPECT_EQ(HexBytes(std::vector<std::uint8_t>{0x0A}, ""), "0A");
  EXPECT_FALSE(ParseHexBytes("ABC").ok());
  EXPECT_FALSE(ParseHexBytes("A B").ok());
  EXPECT_FALSE(ParseHexBytes("zz").ok());
}

TEST(TextTest, SplitKeepsEmptyParts) {
  EXPECT_EQ(Split("a,,b", ','), (std::vector<std::string>{"a", "", "b"}));
  EXPECT_EQ(Split("", ','), (std::vector<std::string>{""}));
  EXPECT_EQ(Join(Split("a,b,c", ','), " + "), "a + b + c");
}

TEST(TextTest, LowerAsciiLeavesOtherLettersAlone) {
  EXPECT_EQ(LowerAscii("Isolation RESISTANCE \xC3\x84 9"), "isolation resistance \xC3\x84 9");
}

TEST(TextTest, TrimTakesAllBlanks) {
  EXPECT_EQ(Trim(" \t a b \r\n"), "a b");
  EXPECT_EQ(Trim("   "), "");
}

TEST(TextTest, PrintableKeepsTextAndReplacesControlsAndBrokenUtf8) {
  EXPECT_EQ(Printable("Größe 5 Ω"), "Größe 5 Ω");
  EXPECT_EQ(Printable("a\x1b[31m\n"), "a?[31m?");
  EXPECT_EQ(Printable("\xff\xc3"), "??");
  EXPECT_EQ(Printable("\xc0\x80"), "??");  // overlong form
}

TEST(PrintableLines, FurtherLinesCannotLookLikeLinesOfTheirOwn) {
  EXPECT_EQ(PrintableLines("mark\n2026-01-01 error \x1B[2J", "    "),
            "mark\n    2026-01-01 error ?[2J");
  EXPECT_EQ(PrintableLines("one\ntwo\n", ""), "one\ntwo\n");
}

}  // namespace
}  // namespace proofdrive
