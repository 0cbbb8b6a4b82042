#include "web/access/gate.h"

#include <algorithm>
#include <boost/asio/ip/address.hpp>

#include "core/base/text.h"
#include "core/digests/sha256.h"

namespace proofdrive::web {
namespace {

constexpr std::string_view kCookieName = "proofdrive";
constexpr std::string_view kBearer = "Bearer ";

// "car.local" of "car.local:8642", "::1" of "[::1]:8642"; empty when anything else follows the
// name.
std::string_view WithoutPort(std::string_view host) {
  const std::size_t end = host.starts_with('[') ? host.find(']') : host.find(':');
  const bool six = host.starts_with('[');
  if (end == std::string_view::npos) return six ? std::string_view() : host;
  const std::string_view name = six ? host.substr(1, end - 1) : host.substr(0, end);
  std::string_view port = host.substr(six ? end + 1 : end);
  if (port.empty()) return name;
  const bool good = port.size() <= 6 && port[0] == ':' &&
                    port.find_first_not_of("0123456789", 1) == std::string_view::npos;
  return good ? name : std::string_view();
}

// The value of our cookie in a Cookie field (RFC 6265 cl. 4.2.1); empty when it is not there.
std::string_view CookieValue(std::string_view cookies) {
  while (!cookies.empty()) {
    const std::size_t end = std::min(cookies.find(';'), cookies.size());
    const std::string_view pair = Trim(cookies.substr(0, end));
    cookies.remove_prefix(std::min(end + 1, cookies.size()));
    const std::size_t equals = pair.find('=');
    if (equals != std::string_view::npos && pair.substr(0, equals) == kCookieName) {
      return pair.substr(equals + 1);
    }
  }
  return {};
}

// A page of another origin asks: the browser says so in one of two ways.
bool IsForeignPage(const Request& request) {
  if (!request.origin.empty()) {
    const std::string origin = LowerAscii(request.origin);
    const std::string host = LowerAscii(request.host);
    return origin != "http://" + host && origin != "https://" + host;
  }
  return !request.fetch_site.empty() && request.fetch_site != "same-origin" &&
         request.fetch_site != "none";
}

// Stays the same as long as the token does, so that a phone stays signed in when the daemon starts
// again; leads back to a random token of 100 bits for nobody.
std::string PassFor(const std::string& token) {
  if (token.empty()) return {};
  const std::string text = "proofdrive page cookie\n" + token;
  return Sha256({reinterpret_cast<const std::uint8_t*>(text.data()), text.size()});
}

// Takes a time that does not depend on where the two differ. False when `secret` is empty.
bool IsSecret(std::string_view given, std::string_view secret) {
  if (secret.empty()) return false;
  unsigned difference = given.size() == secret.size() ? 0 : 1;
  for (std::size_t i = 0; i < secret.size(); ++i) {
    const char c = given.empty() ? '\0' : given[i % given.size()];
    difference |= static_cast<unsigned>(static_cast<unsigned char>(c ^ secret[i]));
  }
  return difference == 0;
}

}  // namespace

Gate::Gate(GateRules rules) : rules_(std::move(rules)), pass_(PassFor(rules_.token)) {}

bool Gate::IsOurName(std::string_view host) const {
  const std::string name = LowerAscii(WithoutPort(host));
  boost::system::error_code error;
  boost::asio::ip::make_address(name, error);
  if (!error || name == "localhost") return true;
  return std::find(rules_.names.begin(), rules_.names.end(), name) != rules_.names.end();
}

bool Gate::IsToken(std::string_view given) const { return IsSecret(given, rules_.token); }

bool Gate::HasToken(const Request& request) const {
  const std::string_view authorization = request.authorization;
  if (authorization.starts_with(kBearer)) return IsToken(authorization.substr(kBearer.size()));
  return IsSecret(CookieValue(request.cookie), pass_);
}

std::string Gate::Cookie() const {
  return std::string(kCookieName) + "=" + pass_ +
         "; Path=/; HttpOnly; SameSite=Strict; Max-Age=2592000";
}

std::string Gate::NoCookie() {
  return std::string(kCookieName) + "=; Path=/; HttpOnly; SameSite=Strict; Max-Age=0";
}

std::optional<Response> Gate::Refuse(const Request& request, Purpose purpose) const {
  if (!rules_.network) return std::nullopt;
  if (!IsOurName(request.host)) {
    return Refusal(421, "this daemon is not called \"" + Printable(request.host) +
                            "\": use its IP address, its host name or localhost");
  }
  if (purpose == Purpose::kFile) return std::nullopt;
  if (IsForeignPage(request)) return Refusal(403, "pages of other origins may not ask this daemon");
  if (request.method == "POST" &&
      !LowerAscii(request.content_type).starts_with("application/json")) {
    return Refusal(415, "send the body as application/json");
  }
  if (purpose == Purpose::kAsk && needs_token() && !HasToken(request)) {
    return Refusal(401,
                   "the token is needed: sign in on the page, or send it as Authorization: "
                   "Bearer TOKEN");
  }
  return std::nullopt;
}

}  // namespace proofdrive::web
