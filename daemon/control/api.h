// The table of control requests and what they do, apart from how they travel.
#pragma once

#include <functional>
#include <memory>
#include <string>
#include <vector>

#include "daemon/json/live_feed.h"
#include "daemon/live/snapshot.h"
#include "daemon/pipeline/frame_queue.h"
#include "daemon/pipeline/pipeline.h"
#include "web/route.h"

namespace proofdrive::daemon {

class RequestDesk;
enum class AskingRoute;

// Queue, pipeline and box must outlive the object and its copies, which share one feed. On the web
// thread.
class ControlApi {
 public:
  ControlApi(FrameQueue& queue, Pipeline& pipeline, const SnapshotBox& box)
      : queue_(&queue), pipeline_(&pipeline), box_(&box), feed_(std::make_shared<LiveFeed>(box)) {}
  // Control units may be asked through `desk`, which must outlive the object.
  void AllowRequests(RequestDesk* desk) { desk_ = desk; }

  // The address of the page with the token in its fragment, told to the owner of the socket. Before
  // the server starts.
  void SetPageLink(const std::string& link) const { *page_link_ = link; }

  // They hold copies of this object.
  std::vector<web::Route> Routes() const;

  const std::shared_ptr<LiveFeed>& feed() const { return feed_; }

 private:
  void OnStatus(const web::Call& call, const web::Reply& reply) const;
  void OnVehicle(const web::Call& call, const web::Reply& reply) const;
  void OnNow(const web::Call& call, const web::Reply& reply) const;
  void OnHistory(const web::Call& call, const web::Reply& reply) const;
  void OnStart(const web::Call& call, const web::Reply& reply) const;
  void OnStop(const web::Call& call, const web::Reply& reply) const;
  void OnMark(const web::Call& call, const web::Reply& reply) const;
  void OnCodes(const web::Call& call, const web::Reply& reply) const;
  void OnIdentify(const web::Call& call, const web::Reply& reply) const;
  void OnClear(const web::Call& call, const web::Reply& reply) const;
  void Asked(AskingRoute route, const web::Call& call, const web::Reply& reply) const;
  // Runs `work` on the writing thread and replies with what it returns.
  void OnWritingThread(std::function<web::Response()> work, const web::Reply& reply) const;

  FrameQueue* queue_;
  Pipeline* pipeline_;
  const SnapshotBox* box_;
  std::shared_ptr<LiveFeed> feed_;
  std::shared_ptr<std::string> page_link_ = std::make_shared<std::string>();
  RequestDesk* desk_ = nullptr;  // null: nothing is ever sent
};

}  // namespace proofdrive::daemon
