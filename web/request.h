// One HTTP request and its answer, apart from how they travel.
#pragma once

#include <string>

namespace proofdrive::web {

// What is looked at of a request (RFC 9110; Fetch Metadata for `fetch_site`). Fields that were not
// sent are empty.
struct Request {
  std::string method;
  std::string target;  // "/api/history?signals=a"
  std::string host;
  std::string origin;
  std::string fetch_site;
  std::string content_type;
  std::string cookie;
  std::string authorization;
  std::string known_tag;  // If-None-Match
  std::string body;
};

struct Response {
  unsigned status = 200;  // RFC 9110 cl. 15
  std::string body;
  std::string type = "application/json";
  std::string tag;         // entity tag; empty: not to be stored
  std::string set_cookie;  // empty: none
};

// {"error":"sentence"}
Response Refusal(unsigned status, const std::string& sentence);

}  // namespace proofdrive::web
