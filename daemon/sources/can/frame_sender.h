// The way out: puts single frames on a bus. Exists only where requests are allowed.
#pragma once

#include "core/base/result.h"
#include "core/frame/frame.h"

namespace proofdrive::daemon {

class FrameSender {
 public:
  virtual ~FrameSender() = default;
  // Frame::channel says which bus. Called by one thread. kUnavailable: the bus cannot take it now.
  virtual Status Send(const Frame& frame) = 0;
};

}  // namespace proofdrive::daemon
