#include "web/server/site.h"

#include <gmock/gmock.h>

namespace proofdrive::web {
namespace {

using ::testing::HasSubstr;

constexpr char kToken[] = "0123456789abcdefgh";
constexpr EmbeddedFile kFiles[] = {{"index.html", "<p>invented"}, {"page.css", "p {}"}};

class SiteTest : public ::testing::Test {
 protected:
  static std::vector<Route> Routes() {
    return {{"GET", "/api/echo",
             [](const Call& call, const Reply& reply) {
               Response response;
               response.body = std::string(call.query) + (call.owner ? ", owner" : "");
               reply(std::move(response));
             }},
            {"POST", "/api/count", [](const Call& call, const Reply& reply) {
               Response response;
               response.body = std::to_string(call.body.size());
               reply(std::move(response));
             }}};
  }
  static Request Make(const std::string& method, const std::string& target) {
    Request request;
    request.method = method;
    request.target = target;
    request.host = "localhost";
    request.content_type = "application/json";
    request.authorization = std::string("Bearer ") + kToken;
    return request;
  }
  Response Ask(const Request& request) { return Ask(network_, request); }
  static Response Ask(const Site& site, const Request& request) {
    int replies = 0;
    Response answer;
    site.Handle(request, [&](Response response) {
      ++replies;
      answer = std::move(response);
    });
    EXPECT_EQ(replies, 1);
    return answer;
  }
  Response Ask(const std::string& method, const std::string& target) {
    return Ask(Make(method, target));
  }

  const Site network_{Routes(), Assets(kFiles), {true, kToken, {}}};
  const Site socket_{Routes(), Assets(kFiles), {false, "", {}}};
};

TEST_F(SiteTest, FilesAreForReading) {
  const Response page = Ask("GET", "/");
  EXPECT_EQ(page.status, 200u);
  EXPECT_EQ(page.body, "<p>invented");
  const Response head = Ask("HEAD", "/page.css");
  EXPECT_EQ(head.status, 200u);
  EXPECT_EQ(head.body, "");
  const Response post = Ask("POST", "/page.css");
  EXPECT_EQ(post.status, 405u);
  EXPECT_THAT(post.body, HasSubstr("ask for files with GET"));
}

TEST_F(SiteTest, AFileThatIsKnownIsNotSentAgain) {
  Request request = Make("GET", "/page.css");
  request.known_tag = Ask(request).tag;
  const Response again = Ask(request);
  EXPECT_EQ(again.status, 304u);
  EXPECT_EQ(again.body, "");
  request.known_tag = "\"other\"";
  EXPECT_EQ(Ask(request).status, 200u);
}

TEST_F(SiteTest, RoutesAreToldWhatIsAsked) {
  EXPECT_EQ(Ask("GET", "/api/echo?a=1&b").body, "a=1&b");
  EXPECT_EQ(Ask("GET", "/api/echo").body, "");
  EXPECT_EQ(Ask(socket_, Make("GET", "/api/echo?a")).body, "a, owner");
  Request request = Make("POST", "/api/count");
  request.body = "four";
  EXPECT_EQ(Ask(request).body, "4");
}

TEST_F(SiteTest, TheRefusalNamesWhatIsPossible) {
  const Response none = Ask("GET", "/api/none\x1B");
  EXPECT_EQ(none.status, 404u);
  EXPECT_EQ(none.body,
            "{\"error\":\"there is no /api/none?; possible: GET /api/echo, POST /api/count, "
            "WebSocket /api/live, POST /api/sign-in, POST /api/sign-out\"}\n");
  EXPECT_THAT(Ask(socket_, Make("GET", "/none")).body, ::testing::Not(HasSubstr("sign-in")))
      << "the socket needs no token";
  const Response other = Ask("POST", "/api/echo");
  EXPECT_EQ(other.status, 405u);
  EXPECT_THAT(other.body, HasSubstr("ask /api/echo with GET"));
}

TEST_F(SiteTest, TheWebSocketIsAskedForAsOne) {
  EXPECT_EQ(network_.RefuseLive(Make("GET", "/api/live")), std::nullopt);
  EXPECT_EQ(network_.RefuseLive(Make("GET", "/api/none"))->status, 404u);
  Request stranger = Make("GET", "/api/live");
  stranger.authorization.clear();
  EXPECT_EQ(network_.RefuseLive(stranger)->status, 401u);
  for (const char* method : {"GET", "WebSocket"}) {
    const Response answer = Ask(method, "/api/live");
    EXPECT_EQ(answer.status, 405u);
    EXPECT_THAT(answer.body, HasSubstr("ask /api/live with WebSocket"));
  }
}

TEST_F(SiteTest, TheTokenSignsIn) {
  Request request = Make("POST", "/api/sign-in");
  request.authorization.clear();
  for (const std::string body : {"", "[", "{}", R"({"token":7})", R"({"token":"wrong"})"}) {
    request.body = body;
    EXPECT_EQ(Ask(request).status, 401u) << body;
  }
  request.body = std::string(R"({"token":")") + kToken + "\"}";
  const Response in = Ask(request);
  EXPECT_EQ(in.status, 200u);
  EXPECT_THAT(in.set_cookie, HasSubstr("HttpOnly; SameSite=Strict"));
  EXPECT_THAT(Ask("POST", "/api/sign-out").set_cookie, HasSubstr("Max-Age=0"));
}

TEST_F(SiteTest, FilesAreForAllRoutesForThoseWithTheToken) {
  Request request = Make("GET", "/");
  request.authorization.clear();
  EXPECT_EQ(Ask(request).status, 200u);
  request.target = "/api/echo";
  EXPECT_EQ(Ask(request).status, 401u);
  request.target = "/none";
  EXPECT_EQ(Ask(request).status, 401u) << "what there is is not told either";
}

}  // namespace
}  // namespace proofdrive::web
