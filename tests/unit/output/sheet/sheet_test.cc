#include "output/sheet/sheet.h"

#include <gmock/gmock.h>

#include "output/sheet/sheet_html.h"
#include "output/sheet/sheet_text.h"

namespace proofdrive::output {
namespace {

using testing::HasSubstr;
using testing::Not;

Sheet Example() {
  Sheet sheet{"Things", "two were seen", "look", {}, {}};
  sheet.columns = {{"thing", SheetColumn::Kind::kName}, {"number", SheetColumn::Kind::kCount}};
  sheet.Add({"lamp", "7"});
  sheet.Add({"a\x1B<b", "12"});
  return sheet;
}

TEST(SheetText, HasTheLeadThenTheTable) {
  EXPECT_EQ(SheetText(Example()),
            "Things: two were seen (proofdrive look tells more)\n\n"
            "THING  NUMBER\n"
            "lamp        7\n"
            "a?<b       12\n");
}

TEST(SheetHtml, HasTheLeadAsASentenceAndNoCommand) {
  const std::string html = SheetHtml(Example()).str();
  EXPECT_THAT(html, HasSubstr("<h3>Things</h3><p>Two were seen</p>"));
  EXPECT_THAT(html, HasSubstr("<span class=\"id\">a?&lt;b</span>"));
  EXPECT_THAT(html, HasSubstr("<td data-title=\"number\">12</td>"));
  EXPECT_THAT(html, Not(HasSubstr("proofdrive")));
}

TEST(Sheet, WithoutRowsIsItsLead) {
  const Sheet sheet{"Things", "none.", "", {}, {}};
  EXPECT_EQ(SheetText(sheet), "Things: none.\n");
  EXPECT_EQ(SheetHtml(sheet).str(), "<h3>Things</h3><p>None.</p>");
}

TEST(Sheet, WithNothingToSayIsNothing) {
  const Sheet sheet{"Things", "", "look", {}, {}};
  EXPECT_EQ(SheetText(sheet), "");
  EXPECT_TRUE(SheetHtml(sheet).empty());
}

}  // namespace
}  // namespace proofdrive::output
