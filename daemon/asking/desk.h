// Where everything that is asked of control units comes together: questions of the control socket,
// the snapshots at the start and the end of a recording, the readings of the definition files. One
// thread of its own, one question at a time.
#pragma once

#include <deque>
#include <functional>
#include <memory>
#include <string>
#include <thread>

#include "daemon/asking/clearing.h"
#include "daemon/asking/questions.h"
#include "daemon/pipeline/frame_queue.h"
#include "decoders/services/asked_document.h"
#include "web/route.h"

namespace proofdrive::daemon {

struct DeskSetup {
  std::shared_ptr<const decoders::Definitions> definitions;  // may be null
  std::vector<session::Channel> channels;                    // of the daemon, all
  RequestGate gate;
};

class RequestDesk {
 public:
  using Reply = web::Reply;
  // Before the end of a recording of known length, when the last snapshot is taken.
  static constexpr Duration kLead = std::chrono::seconds(10);

  // All must outlive the desk.
  RequestDesk(DeskSetup setup, FrameQueue& queue, const SnapshotBox& box, const Clock& clock,
              Log& log);
  ~RequestDesk() { Stop(); }

  void Start();
  // Ends a question under way. Safe to call twice.
  void Stop();

  // Frames as they arrive. Any thread.
  void OnFrames(std::span<const Frame> frames) { asker_.OnFrames(frames); }

  // --- any thread; `reply` is called once, on the desk's thread ---
  void Codes(const std::string& reason, const Reply& reply);
  void Identify(bool vin, const Reply& reply);
  struct ClearWish {
    std::string reason;   // why it is done although it is not known whether the car is at rest
    std::string confirm;  // the word given by the first question; empty: ask the first question
  };
  void Clear(const ClearWish& wish, const Reply& reply);

 private:
  using Job = std::function<void()>;

  void Put(Job job, const Reply& reply);
  void Run();
  bool TakeJob(Job& job);
  void WatchRecording();
  void AskReadings();
  // Asks, makes an event of it when something is recorded, and gives its JSON.
  std::string Take(const std::string& what, const std::string& reason, bool vin = false);
  void MakeEvent(const decoders::AskedDocument& document, const std::string& json);
  web::Response ClearNow(const ClearWish& wish);
  web::Response AskAgain(const ClearWish& wish);

  struct DueReading {
    const decoders::Reading* reading = nullptr;
    SteadyTime due{};
    int failures = 0;
  };

  DeskSetup setup_;
  decoders::AddressBook book_;
  FrameQueue& queue_;
  const SnapshotBox& box_;
  const Clock& clock_;
  Log& log_;
  Asker asker_;
  Questions questions_;
  Confirmation confirmation_;
  std::vector<DueReading> readings_;
  std::string recording_;  // path of the one whose start was seen
  bool end_taken_ = false;
  std::mutex mutex_;
  std::condition_variable work_;
  std::deque<Job> jobs_;
  bool stopped_ = false;
  std::thread thread_;
};

}  // namespace proofdrive::daemon
