#include "web/server/site.h"

#include <nlohmann/json.hpp>

#include "core/base/text.h"

namespace proofdrive::web {
namespace {

constexpr char kSignIn[] = "/api/sign-in";
constexpr char kSignOut[] = "/api/sign-out";
constexpr char kWebSocket[] = "WebSocket";  // in the place of a method

Response SignedIn(bool now, std::string cookie) {
  Response response;
  response.body = now ? "{\"signed_in\":true}\n" : "{\"signed_in\":false}\n";
  response.set_cookie = std::move(cookie);
  return response;
}

Response File(const Request& request, const Asset& asset) {
  Response response;
  response.type = asset.type;
  response.tag = asset.tag;
  response.status = request.known_tag == asset.tag ? 304 : 200;
  if (response.status == 200 && request.method == "GET") response.body = asset.bytes;
  return response;
}

}  // namespace

std::span<const std::pair<std::string_view, std::string_view>> ProtectingFields() {
  static constexpr std::pair<std::string_view, std::string_view> kFields[] = {
      {"Content-Security-Policy",
       "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; "
       "connect-src 'self'; manifest-src 'self'; base-uri 'none'; form-action 'none'; "
       "frame-ancestors 'none'"},
      {"X-Frame-Options", "DENY"},
      {"X-Content-Type-Options", "nosniff"},
      {"Referrer-Policy", "no-referrer"},
      {"Cross-Origin-Opener-Policy", "same-origin"},
      {"Cross-Origin-Resource-Policy", "same-origin"},
      {"Permissions-Policy", "camera=(), microphone=(), geolocation=()"},
  };
  return kFields;
}

Site::Site(std::vector<Route> routes, Assets assets, GateRules rules)
    : routes_(std::move(routes)), assets_(std::move(assets)), gate_(std::move(rules)) {
  routes_.push_back({kWebSocket, "/api/live", {}});
  if (!gate_.needs_token()) return;
  routes_.push_back({"POST", kSignIn,
                     [this](const Call& call, const Reply& reply) { reply(SignIn(call.body)); }});
  routes_.push_back({"POST", kSignOut, [](const Call&, const Reply& reply) {
                       reply(SignedIn(false, Gate::NoCookie()));
                     }});
}

Response Site::SignIn(const std::string& text) const {
  const auto body = nlohmann::json::parse(text, nullptr, false);
  const bool given = body.is_object() && body.contains("token") && body["token"].is_string();
  if (!given || !gate_.IsToken(body["token"].get<std::string>())) {
    return Refusal(401, "this is not the token of this daemon");
  }
  return SignedIn(true, gate_.Cookie());
}

const Route* Site::Find(const std::string& method, std::string_view path, Response& refusal) const {
  std::vector<std::string> possible;
  for (const Route& route : routes_) {
    if (route.path == path && route.method == method) return &route;
    if (route.path == path) {
      refusal = Refusal(405, "ask " + route.path + " with " + route.method);
      return nullptr;
    }
    possible.push_back(route.method + " " + route.path);
  }
  refusal = Refusal(
      404, "there is no " + Printable(std::string(path)) + "; possible: " + Join(possible, ", "));
  return nullptr;
}

void Site::Handle(const Request& request, Reply reply) const {
  if (const Asset* asset = assets_.Find(request.target); asset != nullptr) {
    if (auto refusal = gate_.Refuse(request, Purpose::kFile)) return reply(std::move(*refusal));
    if (request.method == "GET" || request.method == "HEAD") return reply(File(request, *asset));
    return reply(Refusal(405, "ask for files with GET"));
  }
  const bool signs =
      request.method == "POST" && (request.target == kSignIn || request.target == kSignOut);
  if (auto refusal = gate_.Refuse(request, signs ? Purpose::kSignIn : Purpose::kAsk)) {
    return reply(std::move(*refusal));
  }
  const std::string_view target = request.target;
  const std::string_view path = target.substr(0, target.find('?'));
  Response refusal = Refusal(405, "ask " + std::string(path) + " with " + kWebSocket);
  const Route* route = Find(request.method, path, refusal);
  if (route == nullptr || !route->handle) return reply(std::move(refusal));
  const std::string_view query = path.size() < target.size() ? target.substr(path.size() + 1) : "";
  route->handle({query, request.body, !gate_.network()}, std::move(reply));
}

std::optional<Response> Site::RefuseLive(const Request& request) const {
  if (auto refusal = gate_.Refuse(request, Purpose::kAsk)) return refusal;
  Response refusal;
  if (Find(kWebSocket, request.target, refusal) != nullptr) return std::nullopt;
  return refusal;
}

}  // namespace proofdrive::web
