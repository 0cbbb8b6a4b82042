// Small text helpers: strict number parsing, nearest names, trimming, escaping.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/base/bytes.h"
#include "core/base/result.h"

namespace proofdrive {

std::string_view Trim(std::string_view text);
// A to Z become a to z, whatever the locale; every other byte stays.
std::string LowerAscii(std::string_view text);
std::vector<std::string> Split(std::string_view text, char separator);
std::string Join(std::span<const std::string> parts, std::string_view separator);

// Decimal, or hexadecimal with 0x. The whole text must be the number.
Result<std::uint64_t> ParseUint64(std::string_view text);
Result<std::int64_t> ParseInt64(std::string_view text);
// Decimal with an optional exponent; "inf" and "nan" are refused.
Result<double> ParseDouble(std::string_view text);

// A number of bytes: "500 MB", "1.5GB" (powers of 1000: kB, MB, GB, TB), "64 MiB" (powers of 1024:
// KiB, MiB, GiB, TiB; IEC 80000-13). The unit may be left out, the blank too.
Result<std::uint64_t> ParseByteCount(std::string_view text);

// For people: "9,999 bytes", "10 kB", "6.79 MB", "65.13 GB" (powers of 1000).
std::string FormatByteCount(std::uint64_t bytes);

// The shortest text that reads back as the same double ("0.1", "400", "1e-07").
std::string FormatDouble(double value);

// Digits in groups of three: 1234567 -> "1,234,567".
std::string FormatCount(std::uint64_t value);
// With its noun: "1 frame", "1,234 frames".
std::string CountOf(std::uint64_t count, std::string_view noun);

// The text, or its first `most` bytes (whole characters) and "..." when it is longer.
std::string CutText(std::string_view text, std::size_t most);
// Where the UTF-8 character begins that byte `at` belongs to.
std::size_t CharacterStart(std::string_view text, std::size_t at);

// The candidate closest to `name` when it is close enough to be a slip of the pen, else empty. Only
// the first 1,000 candidates are looked at, and nothing is close to a name of more than 80 bytes.
std::string NearestName(std::string_view name, std::span<const std::string> candidates);

// "DE AD BE EF"; with an empty separator "DEADBEEF".
std::string HexBytes(ByteSpan bytes, std::string_view separator = " ");
// Pairs of hexadecimal digits, blanks between pairs allowed.
Result<std::vector<std::uint8_t>> ParseHexBytes(std::string_view text);

// The text with control characters, and anything that is not valid UTF-8, replaced by '?', so that
// a string from a file or a bus can be shown on a terminal.
std::string Printable(std::string_view text);
// Printable line by line: line breaks stay, and `indent` stands before every further line, so that
// none can be taken for a line of its own.
std::string PrintableLines(std::string_view text, std::string_view indent);

}  // namespace proofdrive
