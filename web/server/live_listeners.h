// The WebSockets that hear ten times a second what is so.
//
// Newest wins: a listener that has not yet taken the last message gets none until it has, and then
// the newest. So a slow one costs one message, which all share, and delays nobody.
#pragma once

#include <cstddef>
#include <set>

#include "web/live_source.h"

namespace proofdrive::web {

class LiveListener {
 public:
  virtual ~LiveListener() = default;
  // A new message; never waits.
  virtual void Offer(const SharedText& introduction, const SharedText& news) = 0;
};

// Who listens. On the web thread.
class LiveListeners {
 public:
  void Add(LiveListener& listener) { listeners_.insert(&listener); }
  void Remove(LiveListener& listener) { listeners_.erase(&listener); }
  bool empty() const { return listeners_.empty(); }
  std::size_t size() const { return listeners_.size(); }

  void Offer(const SharedText& introduction, const SharedText& news) {
    for (LiveListener* listener : listeners_) listener->Offer(introduction, news);
  }

 private:
  std::set<LiveListener*> listeners_;
};

}  // namespace proofdrive::web
