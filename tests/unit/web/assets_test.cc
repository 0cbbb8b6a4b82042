#include "web/assets.h"

#include <gmock/gmock.h>

namespace proofdrive::web {
namespace {

constexpr EmbeddedFile kFiles[] = {{"index.html", "<p>invented"},
                                   {"page.css", "p {}"},
                                   {"twin.css", "p {}"},
                                   {"main.js", "1;"},
                                   {"icon.svg", "<svg/>"},
                                   {"app.webmanifest", "{}"},
                                   {"words.txt", "?"}};

TEST(AssetsTest, IndexIsThePageItself) {
  const Assets assets(kFiles);
  ASSERT_NE(assets.Find("/"), nullptr);
  EXPECT_EQ(assets.Find("/")->bytes, "<p>invented");
  EXPECT_EQ(assets.Find("/index.html"), nullptr) << "one name for one file";
}

TEST(AssetsTest, OnlyWholePathsAreFound) {
  const Assets assets(kFiles);
  for (const char* path : {"", "page.css", "/page.css?x", "/page.css/", "/../page.css",
                           "//page.css", "/PAGE.css", "/none"}) {
    EXPECT_EQ(assets.Find(path), nullptr) << path;
  }
}

TEST(AssetsTest, TypesFollowTheEndingOfTheName) {
  const Assets assets(kFiles);
  EXPECT_EQ(assets.Find("/")->type, "text/html; charset=utf-8");
  EXPECT_EQ(assets.Find("/page.css")->type, "text/css; charset=utf-8");
  EXPECT_EQ(assets.Find("/main.js")->type, "text/javascript; charset=utf-8");
  EXPECT_EQ(assets.Find("/icon.svg")->type, "image/svg+xml");
  EXPECT_EQ(assets.Find("/app.webmanifest")->type, "application/manifest+json");
  EXPECT_EQ(assets.Find("/words.txt")->type, "application/octet-stream");
}

TEST(AssetsTest, TagsChangeWithTheBytesAlone) {
  const Assets assets(kFiles);
  EXPECT_EQ(assets.Find("/page.css")->tag, assets.Find("/twin.css")->tag);
  EXPECT_NE(assets.Find("/page.css")->tag, assets.Find("/main.js")->tag);
  EXPECT_THAT(assets.Find("/page.css")->tag, ::testing::MatchesRegex("\"[0-9a-f]{8}-4\""))
      << "quoted, RFC 9110 cl. 8.8.3";
}

}  // namespace
}  // namespace proofdrive::web
