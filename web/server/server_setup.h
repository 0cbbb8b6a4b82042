// What a server offers, and where.
#pragma once

#include <memory>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/base/embedded_file.h"
#include "web/access/listen_address.h"
#include "web/live_source.h"
#include "web/route.h"

namespace proofdrive::web {

struct ServerSetup {
  std::string socket;                   // path
  std::optional<ListenAddress> page;    // where browsers may connect
  std::string token;                    // what they then need
  std::vector<Route> routes;            // what is answered
  std::span<const EmbeddedFile> files;  // of the page; outlive the server
  std::shared_ptr<LiveSource> live;     // what WebSockets are told
};

}  // namespace proofdrive::web
