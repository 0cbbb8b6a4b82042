#include "decoders/services/trouble_code.h"

#include <array>
#include <cstdio>

#include "core/base/text.h"

namespace proofdrive::decoders {
namespace {

// Bits 15-14 of a code; 13-12 are its first digit, the rest three hexadecimal digits.
constexpr std::string_view kLetters = "PCBU";

struct BitWords {
  std::string_view name;
  std::string_view words;
};

// ISO 14229-1 Annex D.2.
constexpr std::array<BitWords, 8> kBits = {{
    {"testFailed", "failed at its last test"},
    {"testFailedThisOperationCycle", "failed in this operation cycle"},
    {"pendingDTC", "pending: failed in this or the last cycle that tested it"},
    {"confirmedDTC", "confirmed: stored"},
    {"testNotCompletedSinceLastClear", "not tested since codes were cleared"},
    {"testFailedSinceLastClear", "failed since codes were cleared"},
    {"testNotCompletedThisOperationCycle", "not tested in this operation cycle"},
    {"warningIndicatorRequested", "asks for its warning lamp"},
}};

Status WrongCode(std::string_view text) {
  return Status(ErrorKind::kInvalidArgument,
                "\"" + Printable(text) +
                    "\" is no trouble code: write a letter P, C, B or U, a digit 0 to 3, three "
                    "hexadecimal digits and perhaps a failure type, as in P0A9B or P0A9B-17");
}

Result<std::uint64_t> HexNumber(std::string_view digits) {
  return ParseUint64("0x" + std::string(digits));
}

}  // namespace

std::string_view BasisName(Basis basis) {
  return basis == Basis::kLookedUp ? "looked up" : "from memory";
}

std::string FormatTroubleCode(const TroubleCode& code) {
  char text[16];
  std::snprintf(text, sizeof(text), "%c%u%03X", kLetters[code.code >> 14], code.code >> 12 & 0x3U,
                code.code & 0xFFFU);
  std::string whole = text;
  if (code.failure_type) {
    std::snprintf(text, sizeof(text), "-%02X", *code.failure_type);
    whole += text;
  }
  return whole;
}

Result<TroubleCode> ParseTroubleCode(std::string_view text) {
  const bool typed = text.size() == 8 && text[5] == '-';
  if (!typed && text.size() != 5) return WrongCode(text);
  const char upper = static_cast<char>(text[0] & ~0x20);
  const std::size_t letter = kLetters.find(upper);
  const auto digits = HexNumber(text.substr(1, 4));
  if (letter == std::string_view::npos || !digits.ok() || text[1] < '0' || text[1] > '3') {
    return WrongCode(text);
  }
  TroubleCode code;
  code.code = static_cast<std::uint16_t>(letter << 14 | *digits);
  if (!typed) return code;
  const auto failure = HexNumber(text.substr(6));
  if (!failure.ok()) return WrongCode(text);
  code.failure_type = static_cast<std::uint8_t>(*failure);
  return code;
}

std::string_view TroubleCodeOwner(std::uint16_t code) {
  const unsigned letter = code >> 14;
  const unsigned digit = code >> 12 & 3;
  if (digit == 0) return "ISO/SAE";
  if (letter == 0) {  // P
    if (digit == 2) return "ISO/SAE";
    return digit == 3 && (code >> 8 & 0xF) >= 4 ? "ISO/SAE" : "maker";
  }
  if (digit != 3) return "maker";
  return letter == 3 ? "ISO/SAE" : "reserved";
}

std::vector<std::string> StatusInWords(std::uint8_t status, std::uint8_t available) {
  std::vector<std::string> words;
  for (unsigned bit = 0; bit < kBits.size(); ++bit) {
    if ((status & available) >> bit & 1) words.emplace_back(kBits[bit].words);
  }
  return words;
}

std::string_view StatusBitName(unsigned bit) { return kBits.at(bit).name; }

}  // namespace proofdrive::decoders
