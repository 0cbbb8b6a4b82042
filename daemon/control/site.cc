#include "daemon/control/site.h"

#include <nlohmann/json.hpp>

#include "daemon/page/assets.h"

namespace proofdrive::daemon {
namespace {

using nlohmann::json;

constexpr std::string_view kSignIn = "/api/sign-in";
constexpr std::string_view kSignOut = "/api/sign-out";
constexpr std::string_view kLive = "/api/live";

WebResponse Answer(unsigned status, const json& body) {
  WebResponse response;
  response.status = status;
  response.body = body.dump();
  return response;
}

WebResponse File(const WebRequest& request, const Asset& asset) {
  WebResponse response;
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

WebResponse Site::SignIn(const WebRequest& request) const {
  const json body = json::parse(request.body, nullptr, false);
  const bool given = body.is_object() && body.contains("token") && body["token"].is_string();
  if (!given || !gate_.IsToken(body["token"].get<std::string>())) {
    return Answer(401, {{"error", "this is not the token of this daemon"}});
  }
  WebResponse response = Answer(200, {{"signed_in", true}});
  response.set_cookie = gate_.Cookie();
  return response;
}

void Site::Handle(const WebRequest& request, Reply reply) const {
  if (const Asset* asset = FindAsset(request.target); asset != nullptr) {
    if (auto refusal = gate_.Refuse(request, Purpose::kFile)) return reply(std::move(*refusal));
    if (request.method == "GET" || request.method == "HEAD") return reply(File(request, *asset));
    return reply(Answer(405, {{"error", "ask for files with GET"}}));
  }
  const bool sign_in = request.target == kSignIn && request.method == "POST";
  const bool sign_out = request.target == kSignOut && request.method == "POST";
  const Purpose purpose = sign_in || sign_out ? Purpose::kSignIn : Purpose::kAsk;
  if (auto refusal = gate_.Refuse(request, purpose)) return reply(std::move(*refusal));
  if (sign_in && gate_.needs_token()) return reply(SignIn(request));
  if (sign_out) {
    WebResponse response = Answer(200, {{"signed_in", false}});
    response.set_cookie = Gate::NoCookie();
    return reply(std::move(response));
  }
  api_.Handle({request.method, request.target, request.body},
              [reply = std::move(reply)](ApiResponse answer) {
                WebResponse response;
                response.status = answer.status;
                response.body = std::move(answer.body);
                response.body += "\n";
                reply(std::move(response));
              });
}

std::optional<WebResponse> Site::RefuseLive(const WebRequest& request) const {
  if (auto refusal = gate_.Refuse(request, Purpose::kAsk)) return refusal;
  if (request.target == kLive) return std::nullopt;
  return Answer(404, {{"error", "WebSocket is spoken at /api/live only"}});
}

}  // namespace proofdrive::daemon
