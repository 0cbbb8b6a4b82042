#include "decoders/columns/column_decoder.h"

#include <gtest/gtest.h>

#include <cmath>
#include <iostream>
#include <random>

#include "decoders/columns/column_kernels.h"
#include "tests/unit/decoders/test_definitions.h"

namespace proofdrive::decoders {
namespace {

// Random places of every shape and length, against the frame-by-frame decoder.
TEST(ColumnDecoder, AgreesWithTheDecoderOnRandomPlaces) {
  const unsigned seed = 20117;
  std::cout << "seed " << seed << "\n";
  std::mt19937 random(seed);
  const auto pick = [&](int low, int high) {
    return std::uniform_int_distribution<int>(low, high)(random);
  };
  for (int round = 0; round < 300; ++round) {
    const int stride = pick(1, 16);
    const int first = pick(0, stride - 1);
    const int last = std::min(stride - 1, first + pick(0, 7));
    std::string where = "bytes " + std::to_string(first) + "-" + std::to_string(last) +
                        (pick(0, 1) == 1 ? " little" : " big");
    if (last - first == 1 && pick(0, 1) == 1) {  // pieces that do not follow each other
      where =
          "byte " + std::to_string(last) + " bits 1-3, byte " + std::to_string(first) + " bits 2-6";
    }
    std::string keys = "where: \"" + where + "\", scale: 0.5, offset: -3";
    if (pick(0, 1) == 1) keys += ", signed: yes";
    if (pick(0, 1) == 1) keys += ", absent: [0, 1]";
    const auto definitions = testing::Load("frames: {f: {id: 1, signals: {x: {" + keys + "}}}}");
    std::vector<std::uint8_t> bytes(static_cast<std::size_t>(stride * pick(1, 20)));
    for (std::uint8_t& byte : bytes) byte = static_cast<std::uint8_t>(pick(0, 3) * pick(0, 85));
    const PayloadColumn column{bytes, static_cast<std::size_t>(stride)};
    std::vector<double> numbers(column.rows());
    ASSERT_TRUE(ColumnDecoder(definitions).Decode(0, 0, column, numbers)) << keys;
    const auto decoder = Decoder::Create(definitions, {});
    for (std::size_t row = 0; row < column.rows(); ++row) {
      const auto begin = bytes.begin() + static_cast<std::ptrdiff_t>(row * column.stride);
      std::vector<Value> values;
      decoder->Decode(testing::MakeFrame(1, {begin, begin + stride}), values);
      ASSERT_EQ(values.size(), 1U);
      if (std::isnan(values[0].number)) {
        EXPECT_TRUE(std::isnan(numbers[row])) << keys;
      } else {
        EXPECT_EQ(numbers[row], values[0].number) << keys << " row " << row;
      }
    }
  }
}

// Random bytes in every row, wide and not, against the frame-by-frame decoder. The result must be
// the same to the last bit.
void ExpectSame(const std::string& keys, std::size_t stride, std::mt19937& random) {
  const auto definitions = testing::Load("frames: {f: {id: 1, signals: {x: {" + keys + "}}}}");
  std::vector<std::uint8_t> bytes(stride * 37);
  for (std::uint8_t& byte : bytes) byte = static_cast<std::uint8_t>(random());
  // The extremes, too.
  std::fill_n(bytes.begin(), stride, std::uint8_t{0xFF});
  std::fill_n(bytes.begin() + static_cast<std::ptrdiff_t>(stride), stride, std::uint8_t{0});
  const Plan plan = MakePlan(*definitions);
  const auto decoder = Decoder::Create(definitions, {});
  for (const bool wide : {false, true}) {
    std::vector<double> numbers(37);
    ColumnJob job;
    job.step = plan.steps[0];
    job.pieces = plan.pieces;
    job.absent = plan.absent;
    job.column = {bytes, stride};
    job.out = numbers.data();
    DecodeColumn(job, wide);
    for (std::size_t row = 0; row < numbers.size(); ++row) {
      const auto begin = bytes.begin() + static_cast<std::ptrdiff_t>(row * stride);
      std::vector<Value> values;
      decoder->Decode(testing::MakeFrame(1, {begin, begin + static_cast<std::ptrdiff_t>(stride)}),
                      values);
      ASSERT_EQ(values.size(), 1U);
      EXPECT_EQ(numbers[row], values[0].number) << keys << " row " << row << " wide " << wide;
    }
  }
}

TEST(ColumnDecoder, PiecesAndLongNumbersAreExactWithAndWithoutVectors) {
  const unsigned seed = 20118;
  std::cout << "seed " << seed << "\n";
  std::mt19937 random(seed);
  for (const std::string where :
       {"bytes 0-7 big", "bytes 0-7 little", "bytes 1-7 big", "bytes 1-7 little", "bytes 0-6 big",
        "bytes 2-5 little", "byte 5 bits 4-7, byte 6", "byte 7, byte 5 bits 0-3",
        "byte 1 bits 0-2, byte 3 bits 5-7, byte 2 bit 0",
        "byte 7 bit 0, byte 0 bit 7, byte 3 bits 2-4, byte 1 bits 1-6",
        "byte 6 bit 0, byte 5 bit 0, byte 4 bit 0, byte 3 bit 0, byte 2 bit 0"}) {
    for (const std::string rest : {"", ", signed: yes", ", signed: yes, scale: 0.1, offset: -40"}) {
      for (const std::size_t stride : {8U, 12U, 64U}) {
        ExpectSame("where: \"" + where + "\"" + rest, stride, random);
      }
    }
  }
}

TEST(ColumnDecoder, PiecesFarApart) {
  std::mt19937 random(20119);
  ExpectSame("where: \"byte 63 bits 0-3, byte 2\"", 64, random);
  ExpectSame("where: \"byte 63 bits 0-3, byte 60\"", 64, random);
}

TEST(ColumnDecoder, ElementsOfASeriesInOneFrame) {
  const auto definitions = testing::Load(
      "frames: {f: {id: 1, series: {c: {first: byte 0, each: 2 bytes big, count: 3}}}}");
  const std::vector<std::uint8_t> bytes = {0, 1, 0, 2, 0, 3, 1, 1, 1, 2, 1, 3};
  std::vector<double> numbers(2);
  const ColumnDecoder decoder(definitions);
  ASSERT_TRUE(decoder.Decode(0, 2, {bytes, 6}, numbers));
  EXPECT_EQ(numbers, (std::vector<double>{3, 259}));
  EXPECT_FALSE(decoder.Decode(0, 3, {bytes, 6}, numbers));
}

TEST(ColumnDecoder, WhatItCannotDoIsRefused) {
  const auto definitions = testing::Load(
      "frames: {f: {id: 1, page: {where: byte 0}, signals: {all: {where: byte 3}}, "
      "pages: {1: {signals: {rare: {where: byte 1}}}}}}\n"
      "computed: {sum_of_both: {formula: all + rare}}");
  const ColumnDecoder decoder(definitions);
  const std::vector<std::uint8_t> bytes(8);
  std::vector<double> numbers(2);
  EXPECT_TRUE(decoder.Decode(0, 0, {bytes, 4}, numbers));
  EXPECT_FALSE(decoder.Decode(0, 0, {bytes, 2}, numbers)) << "too short";
  EXPECT_FALSE(decoder.Decode(1, 0, {bytes, 4}, numbers)) << "on one page only";
  EXPECT_FALSE(decoder.Decode(2, 0, {bytes, 4}, numbers)) << "computed";
  EXPECT_FALSE(decoder.Decode(99, 0, {bytes, 4}, numbers));
}

}  // namespace
}  // namespace proofdrive::decoders
