// Who may be connected to one listener at a time, and who has to go when it is full.
#pragma once

#include <chrono>
#include <cstddef>
#include <string>
#include <unordered_set>

namespace proofdrive::web {

// A connection. On the web thread.
class Guest {
 public:
  using Clock = std::chrono::steady_clock;

  explicit Guest(std::string address) : address_(std::move(address)) {}
  virtual ~Guest() = default;
  // Ends the connection. May be called once; the object lives on until nothing of it is pending.
  virtual void Cut() = 0;

  const std::string& address() const { return address_; }
  Clock::time_point moved() const { return moved_; }
  // It has sent a whole request, or taken a whole answer or message.
  void Moved() { moved_ = Clock::now(); }

 private:
  const std::string address_;
  Clock::time_point moved_ = Clock::now();
};

// On the web thread.
class Guests {
 public:
  // Who has not moved for so long may be cut to make room.
  static constexpr auto kSlow = std::chrono::seconds(1);

  Guests(std::size_t most, std::size_t most_of_one) : most_(most), most_of_one_(most_of_one) {}

  // True when one more from this address may come. When its address or the listener is full, the
  // one that has not moved for longest is cut for it: of its own address, or of the address that
  // has most. Nobody is cut who has moved just now: then the new one has to stay out.
  bool MakeRoom(const std::string& address, Guest::Clock::time_point now = Guest::Clock::now());

  void Add(Guest& guest) { guests_.insert(&guest); }
  void Remove(Guest& guest) { guests_.erase(&guest); }
  std::size_t size() const { return guests_.size(); }

 private:
  std::size_t CountOf(const std::string& address) const;
  std::string LargestAddress() const;
  bool CutSlowest(const std::string& address, Guest::Clock::time_point now);

  const std::size_t most_;
  const std::size_t most_of_one_;
  std::unordered_set<Guest*> guests_;
};

}  // namespace proofdrive::web
