#include "decoders/language/where_parser.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

namespace proofdrive::decoders {
namespace {

using ::testing::ElementsAre;

std::vector<Piece> Pieces(std::string_view text, std::optional<ByteOrder> order = {}) {
  TextProblem problem;
  const auto location = ParseWhere(text, order, problem);
  EXPECT_TRUE(location) << text << ": " << problem.message;
  return location ? location->pieces : std::vector<Piece>{};
}

std::string Problem(std::string_view text, std::optional<ByteOrder> order = {}) {
  TextProblem problem;
  if (ParseWhere(text, order, problem)) return "no problem";
  return std::to_string(problem.at) + ": " + problem.message;
}

TEST(WhereParser, SingleByteBitAndBits) {
  EXPECT_THAT(Pieces("byte 3"), ElementsAre(Piece{3, 0, 8}));
  EXPECT_THAT(Pieces("byte 4 bit 7"), ElementsAre(Piece{4, 7, 1}));
  EXPECT_THAT(Pieces("byte 4 bits 0-2"), ElementsAre(Piece{4, 0, 3}));
  EXPECT_THAT(Pieces("byte 63 bits 7-7"), ElementsAre(Piece{63, 7, 1}));
}

TEST(WhereParser, BytesFollowTheOrderOfTheFile) {
  EXPECT_THAT(Pieces("bytes 2-3", ByteOrder::kBig), ElementsAre(Piece{2, 0, 8}, Piece{3, 0, 8}));
  EXPECT_THAT(Pieces("bytes 2-3", ByteOrder::kLittle), ElementsAre(Piece{3, 0, 8}, Piece{2, 0, 8}));
}

TEST(WhereParser, OrderWordOverridesTheFile) {
  EXPECT_THAT(Pieces("bytes 2-3 little", ByteOrder::kBig),
              ElementsAre(Piece{3, 0, 8}, Piece{2, 0, 8}));
  EXPECT_THAT(Pieces("bytes 2-3 big"), ElementsAre(Piece{2, 0, 8}, Piece{3, 0, 8}));
}

TEST(WhereParser, PiecesStayInTheirOrder) {
  EXPECT_THAT(Pieces("byte 5 bits 4-7, byte 6"), ElementsAre(Piece{5, 4, 4}, Piece{6, 0, 8}));
  EXPECT_THAT(Pieces("byte 1 bit 0,bytes 2-3,byte 7 bits 6-7", ByteOrder::kLittle),
              ElementsAre(Piece{1, 0, 1}, Piece{3, 0, 8}, Piece{2, 0, 8}, Piece{7, 6, 2}));
}

TEST(WhereParser, SameByteTwiceWithOtherBitsIsFine) {
  EXPECT_THAT(Pieces("byte 0 bits 0-3, byte 0 bits 4-7"),
              ElementsAre(Piece{0, 0, 4}, Piece{0, 4, 4}));
}

TEST(WhereParser, ProblemsNameTheirPlace) {
  EXPECT_EQ(Problem(""), "0: \"byte\" or \"bytes\" is missing");
  EXPECT_EQ(Problem("2-3"), "0: \"byte\" or \"bytes\" is expected, not \"2\"");
  EXPECT_EQ(Problem("byte"), "4: the number of the byte is missing");
  EXPECT_EQ(Problem("byte 64"), "5: there is no byte 64");
  EXPECT_EQ(Problem("byte 3 bit 8"), "11: there is no bit 8");
  EXPECT_EQ(Problem("byte 3 bits 2"), "13: \"bits\" needs a lowest and a highest one");
  EXPECT_EQ(Problem("byte 3 bits 5-2"), "0: bits 5-2 run backward");
  EXPECT_EQ(Problem("bytes 3-2", ByteOrder::kBig), "0: bytes 3-2 run backward");
  EXPECT_EQ(Problem("bytes 2", ByteOrder::kBig), "7: \"bytes\" needs a first and a last one");
  EXPECT_EQ(Problem("bytes 2-3"), "9: it is not said which of these bytes counts most");
  EXPECT_EQ(Problem("bytes 2-3 bits 0-3", ByteOrder::kBig),
            "10: bits are chosen of one byte, not of several");
  EXPECT_EQ(Problem("bytes 0-8", ByteOrder::kBig), "0: has 72 bits, more than 64");
  EXPECT_EQ(Problem("byte 1, byte 1 bit 3"), "0: names bits of byte 1 twice");
  EXPECT_EQ(Problem("byte 1 nibble"), "7: \"nibble\" is not expected here");
  EXPECT_EQ(Problem("byte 1,"), "7: \"byte\" or \"bytes\" is missing");
  EXPECT_EQ(Problem("byte 99999999999999999999999"), "5: the number of the byte is missing");
}

TEST(WhereParser, FormatReadsBackAsTheSame) {
  for (const char* text : {"byte 3", "byte 4 bit 7", "byte 5 bits 4-7, byte 6"}) {
    TextProblem problem;
    EXPECT_EQ(FormatLocation(*ParseWhere(text, {}, problem)), text);
  }
}

TEST(WhereParser, BytesOfAChecksum) {
  TextProblem problem;
  EXPECT_EQ(ParseBytes("bytes 0-6", problem)->last, 6);
  EXPECT_EQ(ParseBytes("byte 3", problem)->first, 3);
  EXPECT_FALSE(ParseBytes("bytes 6-0", problem));
  EXPECT_FALSE(ParseBytes("0-6", problem));
  EXPECT_FALSE(ParseBytes("bytes 0-6 big", problem));
}

TEST(WhereParser, ElementSizes) {
  TextProblem problem;
  EXPECT_EQ(ParseElementSize("2 bytes", problem)->bits, 16U);
  EXPECT_EQ(ParseElementSize("1 byte", problem)->bits, 8U);
  EXPECT_EQ(ParseElementSize("12 bits little", problem)->order, ByteOrder::kLittle);
  EXPECT_FALSE(ParseElementSize("0 bits", problem));
  EXPECT_FALSE(ParseElementSize("9 bytes", problem));
  EXPECT_EQ(problem.message, "an element has at most 64 bits (8 bytes)");
  EXPECT_FALSE(ParseElementSize("two bytes", problem));
  EXPECT_FALSE(ParseElementSize("2 bytes medium", problem));
}

TEST(WhereParser, ElementsOfWholeBytes) {
  const auto big = ElementLocations({2, {}}, 16, ByteOrder::kBig, 3);
  ASSERT_EQ(big.size(), 3U);
  EXPECT_THAT(big[2].pieces, ElementsAre(Piece{6, 0, 8}, Piece{7, 0, 8}));
  const auto little = ElementLocations({2, {}}, 16, ByteOrder::kLittle, 3);
  EXPECT_THAT(little[2].pieces, ElementsAre(Piece{7, 0, 8}, Piece{6, 0, 8}));
}

// Twelve bits each: big goes down from bit 7, little goes up from bit 0.
TEST(WhereParser, ElementsAcrossBytes) {
  const auto big = ElementLocations({0, {}}, 12, ByteOrder::kBig, 2);
  EXPECT_THAT(big[0].pieces, ElementsAre(Piece{0, 0, 8}, Piece{1, 4, 4}));
  EXPECT_THAT(big[1].pieces, ElementsAre(Piece{1, 0, 4}, Piece{2, 0, 8}));
  const auto little = ElementLocations({0, {}}, 12, ByteOrder::kLittle, 2);
  EXPECT_THAT(little[0].pieces, ElementsAre(Piece{1, 0, 4}, Piece{0, 0, 8}));
  EXPECT_THAT(little[1].pieces, ElementsAre(Piece{2, 0, 8}, Piece{1, 4, 4}));
}

TEST(WhereParser, ElementsBeyondTheLongestFrameAreRefused) {
  EXPECT_EQ(ElementLocations({0, {}}, 64, ByteOrder::kBig, 8).size(), 8U);
  EXPECT_TRUE(ElementLocations({0, {}}, 64, ByteOrder::kBig, 9).empty());
  EXPECT_TRUE(ElementLocations({63, {}}, 16, ByteOrder::kLittle, 1).empty());
}

}  // namespace
}  // namespace proofdrive::decoders
