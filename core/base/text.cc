#include "core/base/text.h"

#include <algorithm>
#include <cctype>
#include <charconv>
#include <cmath>

#include "core/base/characters.h"
#include "core/base/decimals.h"

namespace proofdrive {
namespace {

// A name is compared with so many others at most: files made of slips cost seconds otherwise.
constexpr std::size_t kMostNames = 1000;
constexpr std::size_t kLongestName = 80;

std::size_t EditDistance(std::string_view a, std::string_view b) {
  std::vector<std::size_t> row(b.size() + 1);
  for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::size_t diagonal = row[0];
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t above = row[j];
      const std::size_t change = diagonal + (a[i - 1] == b[j - 1] ? 0 : 1);
      row[j] = std::min({change, above + 1, row[j - 1] + 1});
      diagonal = above;
    }
  }
  return row[b.size()];
}

Status NotANumber(std::string_view text) {
  return Status(ErrorKind::kInvalidArgument, "\"" + Printable(text) + "\" is not a number");
}

}  // namespace

std::string_view Trim(std::string_view text) {
  while (!text.empty() && std::isspace(static_cast<unsigned char>(text.front()))) {
    text.remove_prefix(1);
  }
  while (!text.empty() && std::isspace(static_cast<unsigned char>(text.back()))) {
    text.remove_suffix(1);
  }
  return text;
}

std::string LowerAscii(std::string_view text) {
  std::string lower(text);
  for (char& c : lower) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return lower;
}

std::vector<std::string> Split(std::string_view text, char separator) {
  std::vector<std::string> parts;
  std::size_t start = 0;
  while (true) {
    const std::size_t end = text.find(separator, start);
    parts.emplace_back(text.substr(start, end - start));
    if (end == std::string_view::npos) return parts;
    start = end + 1;
  }
}

std::string Join(std::span<const std::string> parts, std::string_view separator) {
  std::string text;
  for (std::size_t i = 0; i < parts.size(); ++i) {
    if (i > 0) text += separator;
    text += parts[i];
  }
  return text;
}

Result<std::uint64_t> ParseUint64(std::string_view text) {
  int base = 10;
  std::string_view digits = text;
  if (digits.starts_with("0x") || digits.starts_with("0X")) {
    base = 16;
    digits.remove_prefix(2);
  }
  std::uint64_t value = 0;
  const auto [end, error] =
      std::from_chars(digits.data(), digits.data() + digits.size(), value, base);
  if (error != std::errc() || end != digits.data() + digits.size()) return NotANumber(text);
  return value;
}

Result<std::int64_t> ParseInt64(std::string_view text) {
  const bool negative = text.starts_with('-');
  const auto magnitude = ParseUint64(negative ? text.substr(1) : text);
  if (!magnitude.ok()) return NotANumber(text);
  constexpr std::uint64_t kLimit = std::uint64_t{1} << 63;
  if (*magnitude > (negative ? kLimit : kLimit - 1)) return NotANumber(text);
  return static_cast<std::int64_t>(negative ? ~*magnitude + 1 : *magnitude);
}

Result<double> ParseDouble(std::string_view text) {
  std::string_view digits = text;
  if (digits.starts_with('+')) digits.remove_prefix(1);
  double value = 0;
  const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), value);
  if (error != std::errc() || end != digits.data() + digits.size() || !std::isfinite(value)) {
    return NotANumber(text);
  }
  return value;
}

Result<std::uint64_t> ParseByteCount(std::string_view text) {
  struct Unit {
    std::string_view name;
    double bytes;
  };
  static constexpr Unit kUnits[] = {{"", 1},
                                    {"B", 1},
                                    {"kB", 1e3},
                                    {"MB", 1e6},
                                    {"GB", 1e9},
                                    {"TB", 1e12},
                                    {"KiB", 1024},
                                    {"MiB", 1048576},
                                    {"GiB", 1073741824.0},
                                    {"TiB", 1099511627776.0}};
  constexpr double kMost = 1e18;
  const std::string_view trimmed = Trim(text);
  const std::size_t digits = trimmed.find_first_not_of("0123456789.");
  const auto number = ParseDouble(trimmed.substr(0, digits));
  const std::string_view name =
      digits == std::string_view::npos ? std::string_view() : Trim(trimmed.substr(digits));
  for (const Unit& unit : kUnits) {
    if (!number.ok() || unit.name != name || *number * unit.bytes > kMost) continue;
    return static_cast<std::uint64_t>(*number * unit.bytes);
  }
  return Status(
      ErrorKind::kInvalidArgument,
      "\"" + std::string(text) + "\" is not a size: write for example \"500 MB\" or \"20 GB\"");
}

std::string FormatByteCount(std::uint64_t bytes) {
  if (bytes < 10'000) return CountOf(bytes, "byte");
  const double value = static_cast<double>(bytes);
  if (value < 1e6) return Decimals(value / 1e3, 1) + " kB";
  return value < 1e9 ? Decimals(value / 1e6, 2) + " MB" : Decimals(value / 1e9, 2) + " GB";
}

std::string FormatDouble(double value) {
  char text[40];
  const auto [end, error] = std::to_chars(text, text + sizeof(text), value);
  return error == std::errc() ? std::string(text, end) : std::string("?");
}

std::string FormatCount(std::uint64_t value) {
  std::string text = std::to_string(value);
  for (std::size_t at = text.size(); at > 3; at -= 3) text.insert(at - 3, ",");
  return text;
}

std::string CountOf(std::uint64_t count, std::string_view noun) {
  return FormatCount(count) + " " + std::string(noun) + (count == 1 ? "" : "s");
}

std::string NearestName(std::string_view name, std::span<const std::string> candidates) {
  if (name.size() > kLongestName) return {};
  const std::string* best = nullptr;
  std::size_t best_distance = (name.size() < 4 ? 1 : std::max<std::size_t>(2, name.size() / 3)) + 1;
  for (const std::string& candidate : candidates.first(std::min(candidates.size(), kMostNames))) {
    const std::size_t lengths = name.size() > candidate.size() ? name.size() - candidate.size()
                                                               : candidate.size() - name.size();
    if (lengths >= best_distance) continue;  // each letter more or less is a change
    const std::size_t distance = EditDistance(name, candidate);
    if (distance < best_distance) {
      best = &candidate;
      best_distance = distance;
    }
  }
  return best == nullptr ? std::string() : *best;
}

std::string CutText(std::string_view text, std::size_t most) {
  if (text.size() <= most) return std::string(text);
  return std::string(text.substr(0, CharacterStart(text, most))) + "...";
}

std::size_t CharacterStart(std::string_view text, std::size_t at) {
  while (at > 0 && at < text.size() && (static_cast<unsigned char>(text[at]) & 0xC0) == 0x80) --at;
  return at;
}

std::string HexBytes(ByteSpan bytes, std::string_view separator) {
  static constexpr char kDigits[] = "0123456789ABCDEF";
  std::string text;
  for (std::size_t i = 0; i < bytes.size(); ++i) {
    if (i > 0) text += separator;
    text += kDigits[bytes[i] >> 4];
    text += kDigits[bytes[i] & 0xF];
  }
  return text;
}

Result<std::vector<std::uint8_t>> ParseHexBytes(std::string_view text) {
  std::vector<std::uint8_t> bytes;
  std::size_t i = 0;
  while (i < text.size()) {
    if (std::isspace(static_cast<unsigned char>(text[i]))) {
      ++i;
      continue;
    }
    std::uint8_t value = 0;
    const char* pair_end = text.data() + std::min(i + 2, text.size());
    const auto [end, error] = std::from_chars(text.data() + i, pair_end, value, 16);
    if (error != std::errc() || end != text.data() + i + 2) {
      return Status(ErrorKind::kInvalidArgument,
                    "\"" + Printable(text) + "\" is not a row of hexadecimal byte pairs");
    }
    bytes.push_back(value);
    i += 2;
  }
  return bytes;
}

std::string Printable(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const Character first = FirstCharacter(text);
    const std::size_t length = std::max<std::size_t>(first.length, 1);
    if (first.length == 0 || IsControl(first.code)) {
      out += '?';
    } else {
      out += text.substr(0, length);
    }
    text.remove_prefix(length);
  }
  return out;
}

std::string PrintableLines(std::string_view text, std::string_view indent) {
  std::string out;
  while (true) {
    const std::size_t end = text.find('\n');
    out += Printable(text.substr(0, end));
    if (end == text.npos) return out;
    text.remove_prefix(end + 1);
    out += '\n';
    if (!text.empty()) out += indent;
  }
}

}  // namespace proofdrive
