// The requests of the control socket and their answers, apart from how they travel.
#pragma once

#include <functional>
#include <memory>
#include <span>
#include <string>
#include <string_view>

#include "daemon/json/live_feed.h"
#include "daemon/live/snapshot.h"
#include "daemon/pipeline/frame_queue.h"
#include "daemon/pipeline/pipeline.h"

namespace proofdrive::daemon {

class RequestDesk;

struct ApiRequest {
  std::string method;  // "GET", "POST"
  std::string target;  // "/api/status"
  std::string body;    // JSON of a POST; may be empty
};

struct ApiResponse {
  unsigned status = 200;  // RFC 9110 cl. 15
  std::string body;       // JSON, one object
};

// Queue, pipeline and box must outlive the object and its copies, which share one feed. On the web
// thread.
class ControlApi {
 public:
  using Reply = std::function<void(ApiResponse)>;

  ControlApi(FrameQueue& queue, Pipeline& pipeline, const SnapshotBox& box)
      : queue_(&queue), pipeline_(&pipeline), box_(&box), feed_(std::make_shared<LiveFeed>(box)) {}
  // Control units may be asked through `desk`, which must outlive the object.
  void AllowRequests(RequestDesk* desk) { desk_ = desk; }

  // Calls `reply` exactly once: at once, or later from the writing thread.
  void Handle(const ApiRequest& request, Reply reply) const;

  const std::shared_ptr<LiveFeed>& feed() const { return feed_; }

 private:
  struct Call {
    std::string_view query;  // after the question mark
    const std::string& body;
  };
  struct Route;
  static std::span<const Route> Routes();
  void OnStatus(const Call& call, Reply reply) const;
  void OnVehicle(const Call& call, Reply reply) const;
  void OnNow(const Call& call, Reply reply) const;
  void OnHistory(const Call& call, Reply reply) const;
  void OnStart(const Call& call, Reply reply) const;
  void OnStop(const Call& call, Reply reply) const;
  void OnMark(const Call& call, Reply reply) const;
  // Runs `work` on the writing thread and replies with what it returns.
  void OnWritingThread(std::function<ApiResponse()> work, Reply reply) const;

  FrameQueue* queue_;
  Pipeline* pipeline_;
  const SnapshotBox* box_;
  std::shared_ptr<LiveFeed> feed_;
  RequestDesk* desk_ = nullptr;  // null: nothing is ever sent
};

}  // namespace proofdrive::daemon
