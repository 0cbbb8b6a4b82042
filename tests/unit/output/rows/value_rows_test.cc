#include "output/rows/value_rows.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace proofdrive::output {
namespace {

using decoders::Encoding;
using decoders::Signal;
using decoders::Validity;
using decoders::Value;

decoders::Definitions MakeDefinitions() {
  decoders::Definitions definitions;
  Signal voltage;
  voltage.name = "voltage";
  voltage.unit = "V, \"dc\"";
  voltage.location.pieces = {{0, 0, 8}, {1, 0, 8}};
  Signal pump;
  pump.name = "pump";
  pump.location.pieces = {{2, 0, 3}};
  pump.states = {{0, 0, "off"}, {1, 3, "on"}};
  Signal cells;
  cells.name = "cell";
  cells.unit = "V";
  cells.is_series = true;
  cells.count = 3;
  Signal exact;
  exact.name = "exact";
  exact.encoding = Encoding::kFloat64;
  Signal part;
  part.name = "part";
  part.encoding = Encoding::kText;
  part.location.pieces = {{0, 0, 8}, {1, 0, 8}, {2, 0, 8}};
  definitions.signals = {voltage, pump, cells, exact, part};
  return definitions;
}

Value Make(std::uint32_t signal, double number, Validity validity = Validity::kValid,
           std::uint32_t element = 0) {
  Value value;
  value.time = WallTime(Duration(1'700'000'000'123'456'789));
  value.signal = signal;
  value.element = element;
  value.number = number;
  value.raw = std::isfinite(number) ? static_cast<std::int64_t>(number) : 0;
  value.validity = validity;
  return value;
}

std::string Row(ValueRows::Form form, const Value& value, std::string_view text = {}) {
  static const decoders::Definitions definitions = MakeDefinitions();
  std::string out;
  ValueRows(definitions, form).AppendRow(value, text, out);
  return out;
}
std::string Csv(const Value& value) { return Row(ValueRows::Form::kCsv, value); }
std::string Json(const Value& value) { return Row(ValueRows::Form::kJsonLines, value); }

TEST(ValueRows, TextStandsInTheColumnState) {
  const double none = std::numeric_limits<double>::quiet_NaN();
  EXPECT_EQ(Row(ValueRows::Form::kCsv, Make(4, none), "B,4"), "1700000000.123456,part,,,\"B,4\"\n");
  EXPECT_EQ(Row(ValueRows::Form::kJsonLines, Make(4, none), "B,4"),
            "{\"time_s\":1700000000.123456,\"signal\":\"part\",\"value\":null,\"unit\":\"\","
            "\"state\":\"B,4\"}\n");
  EXPECT_EQ(Row(ValueRows::Form::kCsv, Make(4, none, Validity::kAbsent), "B,4"),
            "1700000000.123456,part,,,absent\n");
}

// RFC 4180 section 2, rules 5 to 7.
TEST(CsvField, IsPrintableAndQuotedOnlyWhenItHasTo) {
  EXPECT_EQ(CsvField("plain text"), "plain text");
  EXPECT_EQ(CsvField("a,b"), "\"a,b\"");
  EXPECT_EQ(CsvField("say \"hi\""), "\"say \"\"hi\"\"\"");
  EXPECT_EQ(CsvField("two\nlines"), "two?lines");
  EXPECT_EQ(CsvField("cr\r"), "cr?");
  EXPECT_EQ(CsvField(""), "");
}

TEST(ValueRows, HeaderIsThatOfTheContract) {
  std::string out;
  const decoders::Definitions definitions = MakeDefinitions();
  ValueRows(definitions, ValueRows::Form::kCsv).AppendHeader(out);
  EXPECT_EQ(out, "time_s,signal,value,unit,state\n");
  out.clear();
  ValueRows(definitions, ValueRows::Form::kJsonLines).AppendHeader(out);
  EXPECT_EQ(out, "");
}

TEST(ValueRows, CsvQuotesUnitsAndCutsTimeToMicroseconds) {
  EXPECT_EQ(Csv(Make(0, 400.5)), "1700000000.123456,voltage,400.5,\"V, \"\"dc\"\"\",\n");
}

TEST(ValueRows, ScaledNumbersAreFreeOfBinaryNoise) {
  EXPECT_EQ(Csv(Make(2, 4002 * 0.1)), "1700000000.123456,cell[1],400.2,V,\n");
}

TEST(ValueRows, SixtyFourBitFloatsKeepAllTheirDigits) {
  EXPECT_EQ(Csv(Make(3, 0.1 + 0.2)), "1700000000.123456,exact,0.30000000000000004,,\n");
}

TEST(ValueRows, ElementsAreCountedFromOne) {
  EXPECT_EQ(Csv(Make(2, 3.6, Validity::kValid, 2)), "1700000000.123456,cell[3],3.6,V,\n");
}

TEST(ValueRows, StateIsTheNameTheAuthorGave) {
  EXPECT_EQ(Csv(Make(1, 2)), "1700000000.123456,pump,2,,on\n");
  EXPECT_EQ(Csv(Make(1, 5)), "1700000000.123456,pump,5,,\n");
}

TEST(ValueRows, AbsentValueHasNoNumber) {
  const Value absent = Make(0, std::nan(""), Validity::kAbsent);
  EXPECT_EQ(Csv(absent), "1700000000.123456,voltage,,\"V, \"\"dc\"\"\",absent\n");
  EXPECT_EQ(Json(absent),
            "{\"time_s\":1700000000.123456,\"signal\":\"voltage\",\"value\":null,"
            "\"unit\":\"V, \\\"dc\\\"\",\"state\":\"absent\"}\n");
}

TEST(ValueRows, OutOfRangeKeepsItsNumberAndANameOfTheAuthorGoesFirst) {
  EXPECT_EQ(Csv(Make(2, 9.5, Validity::kOutOfRange)),
            "1700000000.123456,cell[1],9.5,V,out of range\n");
  EXPECT_EQ(Csv(Make(1, 1, Validity::kOutOfRange)), "1700000000.123456,pump,1,,on\n");
}

TEST(ValueRows, JsonHasNoInfinity) {
  const Value value = Make(3, std::numeric_limits<double>::infinity());
  EXPECT_EQ(Csv(value), "1700000000.123456,exact,inf,,\n");
  EXPECT_EQ(Json(value),
            "{\"time_s\":1700000000.123456,\"signal\":\"exact\",\"value\":null,\"unit\":\"\","
            "\"state\":\"\"}\n");
}

TEST(ValueRows, TimeIsThatOfFormatEpochSeconds) {
  for (const std::int64_t ns :
       {std::int64_t{0}, std::int64_t{999}, std::int64_t{1'000'000}, std::int64_t{-1},
        std::int64_t{-1'500'000'000}, std::int64_t{1'700'000'000'999'999'999}}) {
    Value value = Make(2, 1);
    value.time = WallTime(Duration(ns));
    EXPECT_EQ(Csv(value), FormatEpochSeconds(value.time) + ",cell[1],1,V,\n");
  }
}

}  // namespace
}  // namespace proofdrive::output
