// A WebSocket (RFC 6455) that tells a page what is so.
#pragma once

#include <string>

#include "web/server/request_reader.h"
#include "web/server/service.h"

namespace proofdrive::web {

// Takes over a connection whose request to change was let through. What the page sends is read and
// ignored. A page that takes nothing for half a minute is cut off.
void ServeLive(WebStream stream, const std::string& address, const HttpRequest& request,
               const WebService& service);

}  // namespace proofdrive::web
