// One HTTP/1.1 connection, over a Unix socket or TCP alike; becomes a WebSocket when asked to.
#pragma once

#include "web/server/service.h"

namespace proofdrive::web {

// Serves until the client leaves, is silent for half a minute or sends nonsense. Lives as long as
// an operation of it is pending. On the web thread.
void ServeConnection(WebStream stream, const WebService& service);

}  // namespace proofdrive::web
