// Who may ask the program something over the network.
//
// Three things keep strangers out: the host name asked for must be one of this machine (against
// names of others that are made to point here), a page of another origin is refused, and off
// loopback everything that is about the car needs the token.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "web/request.h"

namespace proofdrive::web {

struct GateRules {
  // False for the Unix socket: the file system says who may open it, and browsers cannot.
  bool network = true;
  std::string token;  // empty: none is needed
  // Names of this machine in lower case, besides IP addresses and "localhost".
  std::vector<std::string> names;
};

// How a request is meant, which decides what it must prove.
enum class Purpose {
  kFile,    // a file of the page, which says nothing of the car
  kSignIn,  // brings the token itself, or gives it back
  kAsk,     // about the car
};

// Immutable. Any thread.
class Gate {
 public:
  explicit Gate(GateRules rules);

  // The refusal, or nullopt when the request may pass.
  std::optional<Response> Refuse(const Request& request, Purpose purpose) const;

  bool network() const { return rules_.network; }
  bool needs_token() const { return !rules_.token.empty(); }
  // Compares in a time that does not depend on where the two differ.
  bool IsToken(std::string_view given) const;
  // What a browser keeps after signing in, and what makes it forget. It holds a pass that was made
  // from the token, never the token itself: browsers send cookies to every port of a host (RFC 6265
  // cl. 8.5), so other servers of this machine see them.
  std::string Cookie() const;
  static std::string NoCookie();

 private:
  bool IsOurName(std::string_view host) const;
  bool HasToken(const Request& request) const;

  const GateRules rules_;
  const std::string pass_;  // empty: no token is needed
};

}  // namespace proofdrive::web
