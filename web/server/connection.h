// One HTTP/1.1 connection, over a Unix socket or TCP alike; becomes a WebSocket when asked to.
#pragma once

#include <string>

#include "web/server/service.h"

namespace proofdrive::web {

// `address`: of the client. Serves until the client leaves, is silent for half a minute or sends
// nonsense. Lives as long as an operation of it is pending. On the web thread.
void ServeConnection(WebStream stream, const std::string& address, const WebService& service);

}  // namespace proofdrive::web
