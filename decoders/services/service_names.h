// Names and words for services, refusals and identifiers of ISO 14229-1 and SAE J1979.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

#include "core/base/bytes.h"

namespace proofdrive::decoders {

// Service identifiers that the project asks or reads (ISO 14229-1, SAE J1979).
enum ServiceId : std::uint8_t {
  kCurrentData = 0x01,
  kStoredCodes = 0x03,
  kPendingCodes = 0x07,
  kVehicleInformation = 0x09,
  kPermanentCodes = 0x0A,
  kSessionControl = 0x10,
  kClearInformation = 0x14,
  kCodeInformation = 0x19,
  kReadByIdentifier = 0x22,
  kTesterPresent = 0x3E,
  kNegativeResponse = 0x7F,
};
// A positive answer begins with the service plus this.
inline constexpr std::uint8_t kAnswerBit = 0x40;
// Bit 7 of a sub-function: only a refusal is answered.
inline constexpr std::uint8_t kSuppressPositive = 0x80;
// Negative response code: the final answer comes later.
inline constexpr std::uint8_t kResponsePending = 0x78;

struct ServiceInfo {
  std::uint8_t id = 0;
  std::string_view name;      // as the standard calls it
  std::string_view standard;  // "ISO 14229-1", "SAE J1979"
  bool has_sub_function = false;
};
// nullptr for a service no standard here names.
const ServiceInfo* FindService(std::uint8_t id);

// What a request asks: "ReadDTCInformation 02", "ReadDataByIdentifier F190", "service BA".
std::string DescribeRequest(ByteSpan request);

// A negative response code: the standard's name and what it means.
struct RefusalInfo {
  std::uint8_t code = 0;
  std::string_view name;
  std::string_view words;
};
// nullptr for a code the table does not know.
const RefusalInfo* FindRefusal(std::uint8_t code);
// "the unit does not offer this service (11 serviceNotSupported)".
std::string DescribeRefusal(std::uint8_t code);

// Data identifiers with a meaning by ISO 14229-1 Annex C.1, F180..F19F; empty for others.
std::string_view IdentifierName(std::uint16_t identifier);
// The same name as words: "system supplier ECU software version number".
std::string IdentifierWords(std::uint16_t identifier);
inline constexpr std::uint16_t kFirstIdentification = 0xF180;
inline constexpr std::uint16_t kLastIdentification = 0xF19F;
inline constexpr std::uint16_t kVinIdentifier = 0xF190;

// All but the first three and the last two characters of a vehicle identification number replaced
// by '*', so that a report can be passed on. Short texts are masked wholly.
std::string MaskedVin(std::string_view vin);

// Whether data are text throughout (printable ASCII, zero bytes at the end left out).
std::optional<std::string> TextOfData(ByteSpan data);

}  // namespace proofdrive::decoders
