#include "output/sheet/html.h"

#include <gtest/gtest.h>

#include "output/report/charts.h"

namespace proofdrive::output {
namespace {

TEST(Html, TextCannotBecomeMarkup) {
  EXPECT_EQ(Html::Text("<script>'\"&\x01").str(), "&lt;script&gt;&#39;&quot;&amp;?");
}

TEST(Html, AttributesCannotEnd) {
  EXPECT_EQ(Tag("p", {{"title", "\" onclick=\"x"}}, Html::Text("a")).str(),
            "<p title=\"&quot; onclick=&quot;x\">a</p>");
}

TEST(HtmlTable, HasOneCellPerTitle) {
  HtmlTable table({"a", "b"});
  EXPECT_TRUE(table.empty());
  table.Add({Html::Text("1"), Html::Text("2")});
  const std::string html = table.Format().str();
  EXPECT_NE(html.find("<th scope=\"col\">a</th>"), std::string::npos);
  EXPECT_NE(html.find("<td data-title=\"b\">2</td>"), std::string::npos);
}

TEST(ScriptString, CannotEndTheScriptItStandsIn) {
  EXPECT_EQ(ScriptString("</script><!--"), "\"\\u003c/script\\u003e\\u003c!--\"");
}

}  // namespace
}  // namespace proofdrive::output
