#include "decoders/transport/addresses.h"

namespace proofdrive::decoders {
namespace {

constexpr std::uint32_t kFirstBaseId = 0x700;
constexpr std::uint32_t kPhysicalPrefix = 0x18DA;
constexpr std::uint32_t kFunctionalPrefix = 0x18DB;

}  // namespace

bool IsFunctional(BusAddress address) {
  if (address.extended) return address.id >> 16 == kFunctionalPrefix;
  return address.id == kFunctionalId;
}

void AddressBook::Add(const UnitAddress& unit) {
  request_of_[unit.answer] = unit.request;
  requests_.insert(unit.request);
}

bool AddressBook::Carries(BusAddress address) const {
  if (request_of_.contains(address) || requests_.contains(address)) return true;
  if (!address.extended) return address.id >= kFirstBaseId;
  return address.id >> 16 == kPhysicalPrefix || address.id >> 16 == kFunctionalPrefix;
}

std::optional<BusAddress> AddressBook::RequestOf(BusAddress answer) const {
  const auto known = request_of_.find(answer);
  if (known != request_of_.end()) return known->second;
  if (answer.extended) {
    if (answer.id >> 16 != kPhysicalPrefix) return std::nullopt;
    const std::uint32_t target = answer.id >> 8 & 0xFF;
    const std::uint32_t source = answer.id & 0xFF;
    return BusAddress{kPhysicalPrefix << 16 | source << 8 | target, true};
  }
  if (answer.id < kFirstBaseId + kAnswerOffset) return std::nullopt;
  return BusAddress{answer.id - kAnswerOffset, false};
}

bool AddressBook::Pairs(BusAddress request, BusAddress answer) const {
  if (IsFunctional(request)) return request.extended == answer.extended && request != answer;
  return RequestOf(answer) == request;
}

}  // namespace proofdrive::decoders
