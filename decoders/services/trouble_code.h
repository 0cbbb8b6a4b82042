// Trouble codes as SAE J2012 (ISO 15031-6) writes them, and what their bytes and status bits mean.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/result.h"

namespace proofdrive::decoders {

// Where a text comes from; shown to the user with it. kLookedUp: seen in published service
// literature or a standard's text. kFromMemory: unconfirmed.
enum class Basis : std::uint8_t { kLookedUp, kFromMemory };
// "looked up", "from memory".
std::string_view BasisName(Basis basis);

struct BasedText {
  std::string_view text;
  Basis basis = Basis::kFromMemory;
};

// Two bytes (SAE J1979), or three with the failure type of SAE J2012-DA (ISO 14229-1).
struct TroubleCode {
  std::uint16_t code = 0;
  std::optional<std::uint8_t> failure_type;
  friend auto operator<=>(const TroubleCode&, const TroubleCode&) = default;
};

// "P0A9B", "P0A9B-17".
std::string FormatTroubleCode(const TroubleCode& code);
// The same text back, small letters allowed. kInvalidArgument says what is expected.
Result<TroubleCode> ParseTroubleCode(std::string_view text);

// The title of a code that a standard gives; nullopt for all others, makers' codes among them.
std::optional<BasedText> TroubleCodeTitle(std::uint16_t code);
// What a failure type means; nullopt when the standard does not say.
std::optional<BasedText> FailureTypeText(std::uint8_t failure_type);
// Who gives the code its meaning (from memory): "ISO/SAE", "maker", "reserved".
std::string_view TroubleCodeOwner(std::uint16_t code);

// Bits of the status byte of ISO 14229-1 Annex D.2.
enum StatusBit : std::uint8_t {
  kTestFailed = 0x01,
  kTestFailedThisCycle = 0x02,
  kPending = 0x04,
  kConfirmed = 0x08,
  kNotCompletedSinceClear = 0x10,
  kFailedSinceClear = 0x20,
  kNotCompletedThisCycle = 0x40,
  kIndicatorRequested = 0x80,
};

// The set bits in words, from bit 0 up: "failed at its last test", ... For the bits the unit
// supports (its availability mask) alone.
std::vector<std::string> StatusInWords(std::uint8_t status, std::uint8_t available = 0xFF);
// The standard's name of one bit, 0..7: "testFailed".
std::string_view StatusBitName(unsigned bit);

}  // namespace proofdrive::decoders
