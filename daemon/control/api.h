// The requests of the control socket and their answers, apart from how they travel.
#pragma once

#include <functional>
#include <string>

#include "daemon/frame_queue.h"
#include "daemon/pipeline.h"
#include "daemon/snapshot.h"

namespace proofdrive::daemon {

struct ApiRequest {
  std::string method;  // "GET", "POST"
  std::string target;  // "/api/status"
  std::string body;    // JSON of a POST; may be empty
};

struct ApiResponse {
  unsigned status = 200;  // RFC 9110 cl. 15
  std::string body;       // JSON, one object
};

// Queue, pipeline and box must outlive the object. Any thread.
class ControlApi {
 public:
  using Reply = std::function<void(ApiResponse)>;

  ControlApi(FrameQueue& queue, Pipeline& pipeline, const SnapshotBox& box)
      : queue_(&queue), pipeline_(&pipeline), box_(&box) {}

  // Calls `reply` exactly once: at once, or later from the writing thread.
  void Handle(const ApiRequest& request, Reply reply) const;

 private:
  // Runs `work` on the writing thread and replies with what it returns.
  void OnWritingThread(std::function<ApiResponse()> work, Reply reply) const;

  FrameQueue* queue_;
  Pipeline* pipeline_;
  const SnapshotBox* box_;
};

}  // namespace proofdrive::daemon
