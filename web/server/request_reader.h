// Bytes of a connection to HTTP/1.1 requests (RFC 9112).
#pragma once

#include <boost/beast/http/message.hpp>
#include <boost/beast/http/string_body.hpp>
#include <cstddef>
#include <memory>
#include <string>
#include <string_view>

#include "web/request.h"

namespace proofdrive::web {

using HttpRequest = boost::beast::http::request<boost::beast::http::string_body>;

class RequestReader {
 public:
  static constexpr std::size_t kHeadLimit = 8 * 1024;   // bytes of a request's head
  static constexpr std::size_t kBodyLimit = 64 * 1024;  // bytes of a request's body

  RequestReader();
  ~RequestReader();

  enum class State {
    kMore,  // no whole request yet
    kDone,  // one is there; Next() goes on
    kBad,   // no request will ever come; refusal() is the answer
  };
  // Takes what has come. What follows the first request waits for Next().
  State Put(std::string_view bytes);
  // REQUIRES: kDone. Forgets the request and looks at what waited.
  State Next();

  // --- of the request that is there ---
  Request request() const;
  bool keep_alive() const;  // the client wants to ask again
  bool is_upgrade() const;  // to WebSocket
  const HttpRequest& message() const;

  const Response& refusal() const { return refusal_; }

 private:
  struct Parser;
  State Parse();
  void Refuse(unsigned status, const std::string& sentence);

  std::unique_ptr<Parser> parser_;
  std::string waiting_;  // not yet taken by the parser
  Response refusal_;
};

// The bytes of an answer. `head_only`: of a HEAD request. `keep_alive`: another request may follow.
std::string ResponseBytes(const Response& response, bool head_only, bool keep_alive);

}  // namespace proofdrive::web
