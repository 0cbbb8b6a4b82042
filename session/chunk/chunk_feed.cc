#include "session/chunk/chunk_feed.h"

#include <algorithm>
#include <condition_variable>
#include <mutex>
#include <system_error>
#include <thread>
#include <vector>

namespace proofdrive::session {

class ChunkFeed::Shared {
 public:
  Shared(Load load, std::size_t count, unsigned threads)
      : load_(std::move(load)), count_(count), slots_(threads > 1 ? 2 * threads : 1) {
    try {
      while (workers_.size() + 1 < threads) workers_.emplace_back([this] { Work(); });
    } catch (const std::system_error&) {
      // The system has no thread to give: fewer do it too.
    }
  }

  ~Shared() {
    {
      const std::lock_guard lock(mutex_);
      stop_ = true;
    }
    changed_.notify_all();
    for (std::thread& worker : workers_) worker.join();
  }

  Result<const ChunkFrames*> Next() {
    std::unique_lock lock(mutex_);
    if (given_ > 0) SlotOf(given_ - 1).ready = false;
    free_from_ = given_;
    const std::size_t number = given_++;
    changed_.notify_all();
    Slot& slot = SlotOf(number);
    while (!slot.ready) {
      if (CanTake()) {
        LoadOne(lock, decoder_);  // this chunk or a later one while others work on this
      } else {
        changed_.wait(lock);
      }
    }
    if (!slot.status.ok()) return slot.status;
    return &slot.frames;
  }

 private:
  struct Slot {
    bool ready = false;
    Status status;
    ChunkFrames frames;
  };

  Slot& SlotOf(std::size_t number) { return slots_[number % slots_.size()]; }

  // The slot of the chunk that the reading thread holds is not free.
  bool CanTake() const { return taken_ < count_ && taken_ < free_from_ + slots_.size(); }

  void LoadOne(std::unique_lock<std::mutex>& lock, ChunkDecoder& decoder) {
    const std::size_t number = taken_++;
    Slot& slot = SlotOf(number);
    lock.unlock();
    slot.status = load_(number, decoder, slot.frames);
    lock.lock();
    slot.ready = true;
    changed_.notify_all();
  }

  void Work() {
    ChunkDecoder decoder;
    std::unique_lock lock(mutex_);
    while (!stop_ && taken_ < count_) {
      if (CanTake()) {
        LoadOne(lock, decoder);
      } else {
        changed_.wait(lock);
      }
    }
  }

  const Load load_;
  const std::size_t count_;
  ChunkDecoder decoder_;  // of the reading thread

  std::mutex
      mutex_;  // over everything below but the contents of slots that are being loaded or read
  std::condition_variable changed_;
  std::vector<Slot> slots_;
  std::size_t taken_ = 0;      // chunks that somebody has begun to load
  std::size_t given_ = 0;      // chunks that were handed to the reading thread
  std::size_t free_from_ = 0;  // slots of chunks before this one may be used again
  bool stop_ = false;

  std::vector<std::thread> workers_;
};

ChunkFeed::ChunkFeed(Load load, std::size_t count, unsigned threads)
    : shared_(std::make_unique<Shared>(std::move(load), count, threads)) {}

ChunkFeed::~ChunkFeed() = default;

Result<const ChunkFrames*> ChunkFeed::Next() { return shared_->Next(); }

}  // namespace proofdrive::session
