#include "output/text/asked_text.h"

#include <gmock/gmock.h>

namespace proofdrive::output {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

analysis::AskedUnits Refusing(std::vector<decoders::ReportedRefusal> refusals) {
  decoders::UnitReport unit;
  unit.name = "cabin";
  unit.refusals = std::move(refusals);
  analysis::AskedUnits asked;
  asked.units = {std::move(unit)};
  return asked;
}

// A tester that asks for every identifier in turn is refused as often.
TEST(AskedText, OneRefusalOfManyRequestsIsSaidOnce) {
  const std::string text = FormatCodes(Refusing({{"ReadDataByIdentifier F1 80", 0x31, 1},
                                                 {"ReadDataByIdentifier F1 81", 0x31, 2},
                                                 {"ReadDataByIdentifier F1 82", 0x31, 1},
                                                 {"ReadDataByIdentifier F1 83", 0x33, 1},
                                                 {"ReadDTCInformation 02 FF", 0x31, 1}}),
                                       "x.session");
  EXPECT_THAT(text,
              HasSubstr("  refused   ReadDTCInformation 02 FF, ReadDataByIdentifier (3 different "
                        "requests): the unit does not\n"));
  EXPECT_THAT(text, HasSubstr("5 times"));
  EXPECT_THAT(text, Not(HasSubstr("F1 81")));
  EXPECT_THAT(text, HasSubstr("ReadDataByIdentifier F1 83: ")) << "another reason";
}

}  // namespace
}  // namespace proofdrive::output
