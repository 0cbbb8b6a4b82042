#include "web/server/guests.h"

#include <algorithm>
#include <map>

namespace proofdrive::web {

std::size_t Guests::CountOf(const std::string& address) const {
  return static_cast<std::size_t>(
      std::count_if(guests_.begin(), guests_.end(),
                    [&](const Guest* guest) { return guest->address() == address; }));
}

std::string Guests::LargestAddress() const {
  std::map<std::string, std::size_t> counts;
  for (const Guest* guest : guests_) ++counts[guest->address()];
  const auto most =
      std::max_element(counts.begin(), counts.end(),
                       [](const auto& a, const auto& b) { return a.second < b.second; });
  return most == counts.end() ? std::string() : most->first;
}

bool Guests::CutSlowest(const std::string& address, Guest::Clock::time_point now) {
  Guest* slowest = nullptr;
  for (Guest* guest : guests_) {
    if (guest->address() != address) continue;
    if (slowest == nullptr || guest->moved() < slowest->moved()) slowest = guest;
  }
  if (slowest == nullptr || now - slowest->moved() < kSlow) return false;
  guests_.erase(slowest);
  slowest->Cut();
  return true;
}

bool Guests::MakeRoom(const std::string& address, Guest::Clock::time_point now) {
  if (CountOf(address) >= most_of_one_) return CutSlowest(address, now);
  return guests_.size() < most_ || CutSlowest(LargestAddress(), now);
}

}  // namespace proofdrive::web
