// Bits out of payloads against values worked out elsewhere.
//
// Our own set: tests/data/bit_vectors.json, made by tests/data/make_bit_vectors.py from the
// counting rule of AUTOSAR TPS_SystemTemplate and IEEE 754-2008. A second set, made by others, is
// read in place when it is there.
#include <gtest/gtest.h>

#include <bit>
#include <cmath>
#include <cstdlib>
#include <fstream>

#include <nlohmann/json.hpp>

#include "core/base/text.h"
#include "decoders/language/where_parser.h"
#include "decoders/signals/decoder.h"
#include "decoders/signals/extract.h"
#include "tests/support/places.h"
#include "tests/support/shared_data.h"
#include "tests/unit/decoders/test_definitions.h"

namespace proofdrive::decoders {
namespace {

using nlohmann::json;

json ReadJson(const std::string& path) {
  std::ifstream file(path);
  return json::parse(file);
}

std::vector<std::uint8_t> Padded(const std::string& hex) {
  auto bytes = ParseHexBytes(hex).value();
  bytes.resize(kMaxFdLength, 0xA5);  // what lies beyond must not matter
  return bytes;
}

std::string RawText(const Location& location, const std::string& payload, bool is_signed) {
  std::vector<Piece> pieces;
  const Extract extract = MakeExtract(location, pieces);
  const std::uint64_t raw = RawBits(extract, pieces.data(), Padded(payload).data());
  return is_signed ? std::to_string(SignExtend(raw, extract.bits)) : std::to_string(raw);
}

Location LocationOf(const json& pieces) {
  Location location;
  for (const json& piece : pieces) {
    location.pieces.push_back(
        {piece[0].get<std::uint8_t>(), piece[1].get<std::uint8_t>(), piece[2].get<std::uint8_t>()});
  }
  return location;
}

// The reference lists single bits from the least significant one up.
Location LocationOfBits(const json& bits) {
  Location location;
  for (auto bit = bits.rbegin(); bit != bits.rend(); ++bit) {
    location.pieces.push_back({(*bit)[0].get<std::uint8_t>(), (*bit)[1].get<std::uint8_t>(), 1});
  }
  return location;
}

TEST(BitVectors, EveryIntegerOfOurSet) {
  const json set = ReadJson(proofdrive::testing::SourcePath("tests/data/bit_vectors.json"));
  ASSERT_EQ(set["vectors"].size(), 308U);
  for (const json& vector : set["vectors"]) {
    EXPECT_EQ(RawText(LocationOf(vector["pieces"]), vector["payload"], vector["signed"]),
              vector["raw"].get<std::string>())
        << vector.dump();
  }
}

// The same places, written bit by bit, take the slow way and give the same.
TEST(BitVectors, PiecewiseReadingAgreesWithSingleLoads) {
  const json set = ReadJson(proofdrive::testing::SourcePath("tests/data/bit_vectors.json"));
  for (const json& vector : set["vectors"]) {
    std::vector<Piece> pieces = LocationOf(vector["pieces"]).pieces;
    Extract slow;
    slow.kind = Extract::Kind::kPieces;
    slow.pieces = static_cast<std::uint8_t>(pieces.size());
    slow.bits = vector["length"].get<std::uint8_t>();
    const auto raw = RawBits(slow, pieces.data(), Padded(vector["payload"]).data());
    const bool is_signed = vector["signed"];
    EXPECT_EQ(is_signed ? std::to_string(SignExtend(raw, slow.bits)) : std::to_string(raw),
              vector["raw"].get<std::string>());
  }
}

TEST(BitVectors, ContiguousPlacesNeedOneLoad) {
  const json set = ReadJson(proofdrive::testing::SourcePath("tests/data/bit_vectors.json"));
  int piecewise = 0;
  for (const json& vector : set["vectors"]) {
    const Location location = LocationOf(vector["pieces"]);
    std::vector<Piece> pieces;
    const Extract extract = MakeExtract(location, pieces);
    if (extract.kind != Extract::Kind::kPieces) continue;
    ++piecewise;
    EXPECT_EQ(location.pieces.size(), 9U) << "only what spans nine bytes may need pieces";
  }
  EXPECT_GT(piecewise, 0);
}

void ExpectFloat(const std::string& payload, int width, bool little, const std::string& value) {
  const std::string type = "float" + std::to_string(width);
  const std::string bytes = "bytes 0-" + std::to_string(width / 8 - 1);
  const auto definitions =
      testing::Load("frames: {f: {id: 1, signals: {x: {where: " + bytes +
                    (little ? " little" : " big") + ", type: " + type + "}}}}");
  const auto decoder = Decoder::Create(definitions, {});
  std::vector<Value> values;
  decoder->Decode(testing::MakeFrame(1, ParseHexBytes(payload).value()), values);
  ASSERT_EQ(values.size(), 1U);
  const double wanted = std::strtod(value.c_str(), nullptr);
  if (std::isnan(wanted)) {
    EXPECT_TRUE(std::isnan(values[0].number));
    EXPECT_EQ(values[0].validity, Validity::kAbsent);
    return;
  }
  // Equal as numbers: -0 is 0, but its pattern is kept in `raw`.
  EXPECT_EQ(values[0].number, wanted) << payload << " " << value;
  EXPECT_EQ(width == 32 ? std::bit_cast<std::uint32_t>(static_cast<float>(wanted))
                        : std::bit_cast<std::uint64_t>(wanted),
            static_cast<std::uint64_t>(values[0].raw));
  EXPECT_EQ(values[0].validity, std::isinf(wanted) ? Validity::kOutOfRange : Validity::kValid);
}

TEST(BitVectors, EveryFloatOfOurSet) {
  const json set = ReadJson(proofdrive::testing::SourcePath("tests/data/bit_vectors.json"));
  ASSERT_EQ(set["floats"].size(), 56U);
  for (const json& vector : set["floats"]) {
    ExpectFloat(vector["payload"], vector["width"], vector["order"] == "little", vector["value"]);
  }
}

TEST(BitVectors, ReferenceSetOfOthers) {
  const auto path = proofdrive::testing::Reference("bitpack-vectors.json");
  if (!path) GTEST_SKIP() << "no bitpack-vectors.json: set PROOFDRIVE_REFERENCES to its folder";
  const json set = ReadJson(*path);
  ASSERT_EQ(set["vectors"].size(), 302U);
  for (const json& vector : set["vectors"]) {
    EXPECT_EQ(
        RawText(LocationOfBits(vector["bits_lsb_first"]), vector["payload_hex"], vector["signed"]),
        vector["raw_str"].get<std::string>())
        << vector["id"];
  }
  ASSERT_EQ(set["ieee754"].size(), 56U);
  for (const json& vector : set["ieee754"]) {
    ExpectFloat(vector["payload_hex"], vector["width"], vector["byte_order"] == "little_endian",
                vector["value_repr"]);
  }
}

// The rows of AUTOSAR TPS_SystemTemplate bit counting on 12 34 56 78 90 AB CD EF, in our words.
TEST(BitVectors, PlacesAsAuthorsWriteThem) {
  struct Row {
    const char* where;
    bool is_signed;
    const char* payload;
    const char* raw;
  };
  const Row rows[] = {
      {"bytes 0-1 little", false, "1234567890ABCDEF", "13330"},       // 0x3412
      {"bytes 0-1 big", false, "1234567890ABCDEF", "4660"},           // 0x1234
      {"byte 1, byte 0 bits 4-7", false, "1234567890ABCDEF", "833"},  // 0x341
      {"byte 0 bits 0-3, byte 1", false, "1234567890ABCDEF", "564"},  // 0x234
      {"bytes 0-7 little", false, "1234567890ABCDEF",
       "17279655982273016850"},                                             // 0xEFCDAB9078563412
      {"bytes 0-7 big", false, "1234567890ABCDEF", "1311768467294899695"},  // 0x1234567890ABCDEF
      {"byte 0 bit 0", true, "01", "-1"},
      {"byte 0", true, "FE", "-2"},
      {"bytes 0-1 big", true, "8000", "-32768"},
      {"bytes 0-1 big", true, "7FFF", "32767"},
      {"bytes 0-1 little", true, "0080", "-32768"},
      {"bytes 0-1 little", true, "FF7F", "32767"},
      {"bytes 0-7 little", true, "0000000000000080", "-9223372036854775808"},
      {"bytes 0-7 big", true, "8000000000000000", "-9223372036854775808"},
      {"byte 0 bits 4-6", false, "70", "7"},
  };
  for (const Row& row : rows) {
    TextProblem problem;
    const auto location = ParseWhere(row.where, {}, problem);
    ASSERT_TRUE(location) << row.where;
    EXPECT_EQ(RawText(*location, row.payload, row.is_signed), row.raw) << row.where;
  }
}

}  // namespace
}  // namespace proofdrive::decoders
