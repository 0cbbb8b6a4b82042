#include "decoders/transport/addresses.h"

#include "core/base/text.h"

namespace proofdrive::decoders {
namespace {

constexpr std::uint32_t kFirstBaseId = 0x700;
constexpr std::uint32_t kPhysicalPrefix = 0x18DA;
constexpr std::uint32_t kFunctionalPrefix = 0x18DB;

}  // namespace

std::string FormatAddress(BusAddress address) {
  const std::uint8_t flags = address.extended ? kExtendedId : 0;
  std::string text = FormatId(address.id, flags);
  if (address.byte) text += " " + HexBytes({&*address.byte, 1});
  return text;
}

bool IsFunctional(BusAddress address) {
  if (address.extended) return address.id >> 16 == kFunctionalPrefix;
  return address.id == kFunctionalId;
}

void AddressBook::Add(const UnitAddress& unit) {
  request_of_[unit.answer] = unit.request;
  requests_.insert(unit.request);
  if (unit.fd) fd_.insert(unit.request);
  for (const BusAddress& address : {unit.request, unit.answer}) {
    if (address.byte) with_address_byte_.insert({address.id, address.extended});
  }
}

BusAddress AddressBook::AddressOf(const Frame& frame) const {
  BusAddress address{frame.id, frame.Is(kExtendedId)};
  const ByteSpan data = frame.payload();
  if (!data.empty() && with_address_byte_.contains(address)) address.byte = data[0];
  return address;
}

bool AddressBook::Carries(BusAddress address) const {
  if (request_of_.contains(address) || requests_.contains(address)) return true;
  if (with_address_byte_.contains({address.id, address.extended})) return true;
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
