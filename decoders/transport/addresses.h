// Which identifiers carry requests and answers, and which of them belong together.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "core/frame/frame.h"

namespace proofdrive::decoders {

// Identifiers of ISO 15765-4 (from memory): 11 bits, 0x7DF to all, 0x7E0..0x7E7 to one unit,
// answers 8 higher; 29 bits, 0x18DB33F1 to all, 0x18DAttF1 to unit tt, answers 0x18DAF1tt. The
// kernel's own text on ISO 15765-2 has the pair 0x18DA42F1 and 0x18DAF142.
inline constexpr std::uint32_t kFunctionalId = 0x7DF;
inline constexpr std::uint32_t kFunctionalExtendedId = 0x18DB33F1;
inline constexpr std::uint32_t kFirstPhysicalId = 0x7E0;
inline constexpr std::uint32_t kLastPhysicalId = 0x7E7;
inline constexpr std::uint32_t kAnswerOffset = 8;

struct BusAddress {
  std::uint32_t id = 0;
  bool extended = false;  // a 29-bit identifier
  // Extended and mixed addressing of ISO 15765-2: the byte before N_PCI is part of the address.
  std::optional<std::uint8_t> byte = std::nullopt;
  friend auto operator<=>(const BusAddress&, const BusAddress&) = default;
};

// "7E5", "18DA10F1"; with its byte "712 2C".
std::string FormatAddress(BusAddress address);

// Goes to every control unit.
bool IsFunctional(BusAddress address);

// Where a control unit is asked and where it answers.
struct UnitAddress {
  BusAddress request;  // has a byte when `answer` has one, and only then
  BusAddress answer;
  bool fd = false;  // is asked in CAN FD frames
  friend auto operator<=>(const UnitAddress&, const UnitAddress&) = default;
};

// A control unit to which the user gave a name.
struct NamedUnit {
  std::string name;
  UnitAddress address;
};

// What an onlooker takes for requests and answers: every 11-bit identifier from 0x700 up (makers
// put their units there, answers 8 above requests: common practice, no source), the 29-bit ones
// 0x18DAxxxx and 0x18DBxxxx, and units named by the user. Immutable after set-up.
class AddressBook {
 public:
  void Add(const UnitAddress& unit);

  // Where a frame comes from or goes to; with its address byte when a unit that was added has one
  // on that identifier.
  BusAddress AddressOf(const Frame& frame) const;
  bool Carries(BusAddress address) const;
  bool IsFd(BusAddress request) const { return fd_.contains(request); }
  // Whether a unit that answers with `answer` is asked with `request`. A functional request may be
  // answered by any.
  bool Pairs(BusAddress request, BusAddress answer) const;
  // The identifier on which the unit that answers with `answer` is asked.
  std::optional<BusAddress> RequestOf(BusAddress answer) const;

 private:
  std::map<BusAddress, BusAddress> request_of_;  // by answer
  std::set<BusAddress> requests_;
  std::set<BusAddress> fd_;                 // of the requests
  std::set<BusAddress> with_address_byte_;  // without it
};

}  // namespace proofdrive::decoders
