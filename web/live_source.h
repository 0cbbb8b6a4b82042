// What is told to WebSockets: an introduction, then ten times a second what is so.
#pragma once

#include <memory>
#include <string>

namespace proofdrive::web {

// Shared by everybody who hears it. A text that has not changed is the same object.
using SharedText = std::shared_ptr<const std::string>;

// On the web thread.
class LiveSource {
 public:
  virtual ~LiveSource() = default;
  // Every Server::kTellTime, whether or not anybody listens. The texts are of the last one.
  virtual void Tick() = 0;
  // Never null. The first is told to each listener first, and again when it is another object.
  virtual SharedText introduction() = 0;
  virtual SharedText news() = 0;
};

}  // namespace proofdrive::web
