// The routes that ask control units something.
#pragma once

#include <string>

#include "core/base/result.h"
#include "decoders/model/definitions.h"
#include "web/route.h"

namespace proofdrive::daemon {

class RequestDesk;

enum class AskingRoute { kCodes, kIdentify, kClear };

// kInvalidArgument: the body makes no sense, and nobody will reply. Else `reply` is called once,
// now or later.
Status Ask(AskingRoute route, const std::string& body, RequestDesk& desk, const web::Reply& reply);

// The answer when requests are not allowed: how to allow them and what would be sent.
// `definitions` may be null.
web::Response NotAllowed(AskingRoute route, const decoders::Definitions* definitions);

}  // namespace proofdrive::daemon
