// SAE J2012 / ISO 15031-6 codes: bytes and texts equal to what python3-scapy 2.5.0 prints; failure
// types of 14229-1's examples (cl. 11.3.5.2, tables 287-289); ownership from memory.
#include "decoders/services/trouble_code.h"

#include <gmock/gmock.h>

#include <set>

#include "tests/support/matchers.h"

namespace proofdrive::decoders {
namespace {

using ::testing::ElementsAre;

struct Worked {
  const char* text;
  std::uint16_t code;
};

TEST(TroubleCodeTest, WorkedExamples) {
  const Worked examples[] = {
      {"P0000", 0x0000}, {"P0123", 0x0123}, {"P0A7E", 0x0A7E}, {"P0AA6", 0x0AA6}, {"P0AFA", 0x0AFA},
      {"P1234", 0x1234}, {"P2BAC", 0x2BAC}, {"P3400", 0x3400}, {"P3FFF", 0x3FFF}, {"C0035", 0x4035},
      {"C1234", 0x5234}, {"C3FFF", 0x7FFF}, {"B0001", 0x8001}, {"B1342", 0x9342}, {"B3FFF", 0xBFFF},
      {"U0001", 0xC001}, {"U0073", 0xC073}, {"U0100", 0xC100}, {"U3000", 0xF000}, {"U3FFF", 0xFFFF},
  };
  for (const Worked& example : examples) {
    EXPECT_EQ(FormatTroubleCode({example.code, {}}), example.text);
    const auto parsed = ParseTroubleCode(example.text);
    ASSERT_OK(parsed);
    EXPECT_EQ(parsed->code, example.code);
  }
}

TEST(TroubleCodeTest, FailureTypes) {
  EXPECT_EQ(FormatTroubleCode({0x0805, std::uint8_t{0x11}}), "P0805-11");
  EXPECT_EQ(FormatTroubleCode({0x0A9B, std::uint8_t{0x17}}), "P0A9B-17");
  EXPECT_EQ(FormatTroubleCode({0x2522, std::uint8_t{0x1F}}), "P2522-1F");
  EXPECT_EQ(FormatTroubleCode({0x0AA6, std::uint8_t{0x1A}}), "P0AA6-1A");
  EXPECT_EQ(FormatTroubleCode({0xC100, std::uint8_t{0x87}}), "U0100-87");
  EXPECT_EQ(FormatTroubleCode({0xC001, std::uint8_t{0x88}}), "U0001-88");
}

TEST(TroubleCodeTest, EveryCodeSurvivesTheRoundTrip) {
  std::set<std::string> texts;
  for (std::uint32_t code = 0; code <= 0xFFFF; ++code) {
    const TroubleCode wanted{static_cast<std::uint16_t>(code), {}};
    const std::string text = FormatTroubleCode(wanted);
    texts.insert(text);
    ASSERT_EQ(ParseTroubleCode(text).value(), wanted) << text;
  }
  EXPECT_EQ(texts.size(), 0x10000u);
  const TroubleCode typed{0x0A9B, std::uint8_t{0xFF}};
  EXPECT_EQ(ParseTroubleCode("p0a9b-ff").value(), typed);
}

TEST(TroubleCodeTest, RefusesWhatIsNone) {
  for (const char* text : {"", "P", "P0A9", "P0A9BC", "Q0A9B", "P4000", "P0G00", "P0A9B-1",
                           "P0A9B-XX", "P0A9B 17", "P 123"}) {
    EXPECT_FALSE(ParseTroubleCode(text).ok()) << text;
  }
  EXPECT_EQ(ParseTroubleCode("P4000").status().message(),
            "\"P4000\" is no trouble code: write a letter P, C, B or U, a digit 0 to 3, three "
            "hexadecimal digits and perhaps a failure type, as in P0A9B or P0A9B-17");
}

TEST(TroubleCodeTest, Titles) {
  EXPECT_EQ(TroubleCodeTitle(0x0A0A)->text, "high-voltage interlock circuit");
  EXPECT_EQ(TroubleCodeTitle(0x0A0A)->basis, Basis::kLookedUp);
  EXPECT_EQ(TroubleCodeTitle(0x0AA6)->text, "high-voltage system insulation fault");
  EXPECT_EQ(TroubleCodeTitle(0x0AA6)->basis, Basis::kFromMemory);
  EXPECT_EQ(TroubleCodeTitle(0xC111)->basis, Basis::kFromMemory);
  EXPECT_EQ(TroubleCodeTitle(0x0C47)->text, "high-voltage pack coolant pump control circuit open");
  EXPECT_EQ(TroubleCodeTitle(0x0D2A)->text, "charger input current high");
  EXPECT_EQ(TroubleCodeTitle(0x0D2A)->basis, Basis::kLookedUp);
  EXPECT_EQ(TroubleCodeTitle(0x0DAA)->basis, Basis::kFromMemory);
  EXPECT_FALSE(TroubleCodeTitle(0x0D24)) << "no source gives it";
  EXPECT_FALSE(TroubleCodeTitle(0x1234));
  EXPECT_FALSE(TroubleCodeTitle(0xFFFF));
}

// The tables are searched by halves: a row out of order would not be found.
TEST(TroubleCodeTest, EveryRowOfTheTablesIsFound) {
  int titles = 0;
  for (std::uint32_t code = 0; code <= 0xFFFF; ++code) {
    titles += TroubleCodeTitle(static_cast<std::uint16_t>(code)).has_value();
  }
  EXPECT_EQ(titles, 90);
  int failures = 0;
  for (int type = 0; type <= 0xFF; ++type) {
    failures += FailureTypeText(static_cast<std::uint8_t>(type)).has_value();
  }
  EXPECT_EQ(failures, 101);
  EXPECT_EQ(FailureTypeText(0x13)->text, "circuit open");
  EXPECT_EQ(FailureTypeText(0x13)->basis, Basis::kLookedUp);
  EXPECT_EQ(FailureTypeText(0x87)->basis, Basis::kFromMemory);
  EXPECT_FALSE(FailureTypeText(0x10));
}

TEST(TroubleCodeTest, Owners) {
  const auto owner = [](const char* text) {
    return std::string(TroubleCodeOwner(ParseTroubleCode(text).value().code));
  };
  for (const char* text :
       {"P0A9B", "P2522", "P3400", "P39FF", "C0035", "B0001", "U0100", "U3000"}) {
    EXPECT_EQ(owner(text), "ISO/SAE") << text;
  }
  for (const char* text :
       {"P1234", "P3000", "P33FF", "B1342", "B2000", "C1234", "C2000", "U1000", "U2FFF"}) {
    EXPECT_EQ(owner(text), "maker") << text;
  }
  EXPECT_EQ(owner("B3FFF"), "reserved");
  EXPECT_EQ(owner("C3FFF"), "reserved");
}

TEST(StatusBitsTest, InWords) {
  // The two status bytes of the examples of ISO 14229-1 cl. 11.3.5.3.
  EXPECT_THAT(StatusInWords(0x24),
              ElementsAre("pending: failed in this or the last cycle that tested it",
                          "failed since codes were cleared"));
  EXPECT_THAT(StatusInWords(0x2F),
              ElementsAre("failed at its last test", "failed in this operation cycle",
                          "pending: failed in this or the last cycle that tested it",
                          "confirmed: stored", "failed since codes were cleared"));
  EXPECT_THAT(StatusInWords(0x50), ElementsAre("not tested since codes were cleared",
                                               "not tested in this operation cycle"));
  EXPECT_THAT(StatusInWords(0x80), ElementsAre("asks for its warning lamp"));
  EXPECT_THAT(StatusInWords(0xFF, 0x08), ElementsAre("confirmed: stored"));
  EXPECT_EQ(StatusBitName(0), "testFailed");
  EXPECT_EQ(StatusBitName(7), "warningIndicatorRequested");
}

}  // namespace
}  // namespace proofdrive::decoders
