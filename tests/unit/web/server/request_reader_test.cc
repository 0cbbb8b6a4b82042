#include "web/server/request_reader.h"

#include <gmock/gmock.h>

namespace proofdrive::web {
namespace {

using ::testing::EndsWith;
using ::testing::HasSubstr;
using ::testing::Not;
using ::testing::StartsWith;
using State = RequestReader::State;

constexpr char kPost[] =
    "POST /api/mark HTTP/1.1\r\nHost: bench\r\nContent-Type: application/json\r\n"
    "Content-Length: 4\r\n\r\nbody";

TEST(RequestReaderTest, ARequestMayComeByteByByte) {
  RequestReader reader;
  const std::string all = kPost;
  for (std::size_t i = 0; i + 1 < all.size(); ++i) {
    ASSERT_EQ(reader.Put(all.substr(i, 1)), State::kMore) << i;
  }
  ASSERT_EQ(reader.Put("y"), State::kDone);
  const Request request = reader.request();
  EXPECT_EQ(request.method, "POST");
  EXPECT_EQ(request.target, "/api/mark");
  EXPECT_EQ(request.host, "bench");
  EXPECT_EQ(request.content_type, "application/json");
  EXPECT_EQ(request.body, "body");
  EXPECT_TRUE(reader.keep_alive());
  EXPECT_FALSE(reader.is_upgrade());
}

TEST(RequestReaderTest, WhatFollowsWaitsForItsTurn) {
  RequestReader reader;
  ASSERT_EQ(reader.Put(std::string(kPost) + "GET /b HTTP/1.1\r\nConnection: close\r\n\r\nGET"),
            State::kDone);
  EXPECT_EQ(reader.request().body, "body");
  ASSERT_EQ(reader.Next(), State::kDone);
  EXPECT_EQ(reader.request().target, "/b");
  EXPECT_FALSE(reader.keep_alive());
  EXPECT_EQ(reader.Next(), State::kMore);
}

TEST(RequestReaderTest, NonsenseAndTooMuchAreRefused) {
  const auto status_of = [](const std::string& bytes) {
    RequestReader reader;
    return reader.Put(bytes) == State::kBad ? reader.refusal().status : 0;
  };
  EXPECT_EQ(status_of("hello\r\n\r\n"), 400u);
  EXPECT_EQ(status_of("GET / HTTP/9.9\r\n\r\n"), 400u);
  EXPECT_EQ(status_of("POST / HTTP/1.1\r\nContent-Length: -1\r\n\r\n"), 400u);
  EXPECT_EQ(status_of("POST / HTTP/1.1\r\nContent-Length: 70000\r\n\r\n"), 413u);
  EXPECT_EQ(status_of("GET / HTTP/1.1\r\nx: " + std::string(10000, 'x') + "\r\n\r\n"), 431u);
  EXPECT_EQ(status_of("GET / HTTP/1.1\r\nx: " + std::string(10000, 'x')), 431u)
      << "before its end has come";
}

TEST(ResponseBytesTest, HeadAndUnchangedHaveNoBody) {
  const Response page{200, "bytes", "text/html", "\"tag\"", ""};
  const std::string whole = ResponseBytes(page, false, true);
  EXPECT_THAT(whole, StartsWith("HTTP/1.1 200 OK\r\n"));
  EXPECT_THAT(whole, HasSubstr("\r\nContent-Length: 5\r\n"));
  EXPECT_THAT(whole, HasSubstr("\r\nCache-Control: no-cache\r\n"));
  EXPECT_THAT(whole, HasSubstr("\r\nX-Frame-Options: DENY\r\n"));
  EXPECT_THAT(whole, EndsWith("\r\n\r\nbytes"));
  EXPECT_THAT(ResponseBytes(page, true, true), EndsWith("\r\n\r\n"));
  const Response same{304, "", "text/html", "\"tag\"", ""};
  EXPECT_THAT(ResponseBytes(same, false, true), Not(HasSubstr("Content-Length")));
  EXPECT_THAT(ResponseBytes(page, false, false), HasSubstr("\r\nConnection: close\r\n"));
}

}  // namespace
}  // namespace proofdrive::web
