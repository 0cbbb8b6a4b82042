// The requests of the control socket that ask control units something.
#pragma once

#include <string>

#include "daemon/control/api.h"
#include "decoders/model/definitions.h"

namespace proofdrive::daemon {

class RequestDesk;

// True when the target is one of /api/codes, /api/identify, /api/clear: then `reply` is called
// once, now or later. `desk` null: requests are not allowed; the answer says how to allow them and
// what would be sent. `definitions` may be null.
bool HandleAsking(const ApiRequest& request, RequestDesk* desk,
                  const decoders::Definitions* definitions, const ControlApi::Reply& reply);

}  // namespace proofdrive::daemon
