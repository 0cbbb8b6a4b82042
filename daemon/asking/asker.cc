#include "daemon/asking/asker.h"

#include <utility>

namespace proofdrive::daemon {

void Asker::OnFrames(std::span<const Frame> frames) {
  const std::lock_guard lock(mutex_);
  if (!asking_) return;
  bool any = false;
  for (const Frame& frame : frames) {
    if (!book_.Carries(book_.AddressOf(frame)) || inbox_.size() >= kInbox) continue;
    inbox_.push_back(frame);
    any = true;
  }
  if (any) arrived_.notify_one();
}

void Asker::Cancel() {
  const std::lock_guard lock(mutex_);
  cancelled_ = true;
  arrived_.notify_one();
}

bool Asker::cancelled() {
  const std::lock_guard lock(mutex_);
  return cancelled_;
}

std::deque<Frame> Asker::TakeFrames() {
  const std::lock_guard lock(mutex_);
  return std::exchange(inbox_, {});
}

void Asker::WaitUntil(SteadyTime time) {
  std::unique_lock lock(mutex_);
  const Duration wait = time - clock_.Now().steady;
  if (wait > Duration(0)) {
    arrived_.wait_for(lock, wait, [this] { return cancelled_ || !inbox_.empty(); });
  }
}

Status Asker::SendDue(decoders::RequestRound& round, decoders::Permission permission) {
  while (const auto frame = round.Next(clock_.Now())) {
    RETURN_IF_ERROR(gate_.Send(*frame, book_.AddressOf(*frame), permission, clock_.Now().steady));
    round.OnSent(clock_.Now());
  }
  return Status::Ok();
}

Result<decoders::Conversation> Asker::Ask(const decoders::RoundTarget& target,
                                          const std::vector<std::uint8_t>& request,
                                          decoders::Permission permission) {
  RETURN_IF_ERROR(decoders::CheckRequest(request, permission));
  for (SteadyTime now = clock_.Now().steady; gate_.ReadyAt(now) > now && !cancelled();
       now = clock_.Now().steady) {
    WaitUntil(gate_.ReadyAt(now));
  }
  {
    const std::lock_guard lock(mutex_);
    inbox_.clear();
    asking_ = true;
  }
  decoders::RequestRound round(book_, target, request, clock_.Now());
  Status status;
  while (status.ok() && !round.done() && !cancelled()) {
    status = SendDue(round, permission);
    WaitUntil(round.deadline(clock_.Now().steady));
    for (const Frame& frame : TakeFrames()) round.OnFrame(frame, {frame.time, clock_.Now().steady});
    round.Advance(clock_.Now());
  }
  {
    const std::lock_guard lock(mutex_);
    asking_ = false;
    if (cancelled_) return Status(ErrorKind::kCancelled, "the daemon is shutting down");
  }
  RETURN_IF_ERROR(status);
  out_of_turn_ += round.out_of_turn();
  return round.conversation();
}

}  // namespace proofdrive::daemon
