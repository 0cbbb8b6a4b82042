#include "decoders/language/where_parser.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <string>

#include "core/base/text.h"

namespace proofdrive::decoders {
namespace {

constexpr char kExamples[] =
    "write for example \"byte 2\", \"bytes 2-3\", \"byte 4 bits 0-2\" or "
    "\"byte 5 bits 4-7, byte 6\"";

// Words, numbers, '-' and ',' of a location, with their places.
class Scanner {
 public:
  explicit Scanner(std::string_view text) : text_(text) { Skip(); }

  bool AtEnd() const { return at_ >= text_.size(); }
  std::size_t at() const { return at_; }
  std::string_view Peek() const { return text_.substr(at_, Length()); }
  std::string_view Next() {
    const std::string_view token = Peek();
    at_ += token.size();
    Skip();
    return token;
  }
  bool Accept(std::string_view token) {
    if (Peek() != token) return false;
    Next();
    return true;
  }

 private:
  static bool IsWord(char c) { return std::isalnum(static_cast<unsigned char>(c)) != 0; }
  std::size_t Length() const {
    std::size_t end = at_;
    while (end < text_.size() && IsWord(text_[end])) ++end;
    return end > at_ ? end - at_ : (AtEnd() ? 0 : 1);
  }
  void Skip() {
    while (at_ < text_.size() && (text_[at_] == ' ' || text_[at_] == '\t' || text_[at_] == '\n')) {
      ++at_;
    }
  }

  std::string_view text_;
  std::size_t at_ = 0;
};

class Parser {
 public:
  Parser(std::string_view text, std::optional<ByteOrder> order, TextProblem& problem)
      : scanner_(text), order_(order), problem_(problem) {}

  std::optional<Location> ParseLocation() {
    Location location;
    do {
      if (!ParsePart(location)) return std::nullopt;
    } while (scanner_.Accept(","));
    if (!ExpectEnd()) return std::nullopt;
    if (location.bits() > 64) {
      Fail(0, "has " + std::to_string(location.bits()) + " bits, more than 64",
           "split it into several signals");
      return std::nullopt;
    }
    if (!CheckTwice(location)) return std::nullopt;
    return location;
  }

  std::optional<ByteRange> ParseByteRange() {
    const bool several = scanner_.Peek() == "bytes";
    if (!several && scanner_.Peek() != "byte") return FailWord(), std::nullopt;
    scanner_.Next();
    const auto first = Number(kLastByte, "byte");
    if (!first) return std::nullopt;
    auto last = first;
    if (several) {
      if (!ExpectDash()) return std::nullopt;
      last = Number(kLastByte, "byte");
      if (!last || !CheckOrder(*first, *last, "bytes")) return std::nullopt;
    }
    if (!ExpectEnd()) return std::nullopt;
    return ByteRange{*first, *last};
  }

  std::optional<ElementStart> ParseStart() {
    if (!scanner_.Accept("byte")) return FailStart(), std::nullopt;
    ElementStart start;
    const auto byte = Number(kLastByte, "byte");
    if (!byte) return std::nullopt;
    start.byte = *byte;
    if (scanner_.Accept("bit")) {
      const auto bit = Number(7, "bit");
      if (!bit) return std::nullopt;
      start.bit = *bit;
    }
    if (!scanner_.AtEnd()) return FailStart(), std::nullopt;
    return start;
  }

  std::optional<ElementSize> ParseSize(unsigned most_bits) {
    const std::size_t at = scanner_.at();
    const auto count = ParseUint64(scanner_.Peek());
    if (!count.ok() || *count == 0 || *count > 64) return FailSize(at), std::nullopt;
    scanner_.Next();
    ElementSize size;
    size.bits = static_cast<unsigned>(*count);
    if (scanner_.Accept("byte") || scanner_.Accept("bytes")) {
      size.bits *= 8;
    } else if (!scanner_.Accept("bit") && !scanner_.Accept("bits")) {
      return FailSize(scanner_.at()), std::nullopt;
    }
    size.order = OrderWord();
    if (!scanner_.AtEnd()) return FailSize(scanner_.at()), std::nullopt;
    if (size.bits > most_bits) {
      Fail(at,
           "an element has at most " + std::to_string(most_bits) + " bits (" +
               std::to_string(most_bits / 8) + " bytes)",
           "");
      return std::nullopt;
    }
    return size;
  }

 private:
  void Fail(std::size_t at, std::string message, std::string hint) {
    problem_ = {at, std::move(message), std::move(hint)};
  }
  void FailWord() {
    if (scanner_.AtEnd()) return Fail(scanner_.at(), "\"byte\" or \"bytes\" is missing", kExamples);
    Fail(scanner_.at(),
         "\"byte\" or \"bytes\" is expected, not \"" + std::string(scanner_.Peek()) + "\"",
         kExamples);
  }
  void FailStart() {
    Fail(scanner_.at(), "the start of the first element is not clear",
         "write for example \"byte 2\" or \"byte 2 bit 4\"");
  }
  void FailSize(std::size_t at) {
    Fail(at, "the size of an element is not clear",
         "write for example \"2 bytes\", \"2 bytes little\" or \"12 bits\"");
  }

  bool ExpectEnd() {
    if (scanner_.AtEnd()) return true;
    Fail(scanner_.at(), "\"" + std::string(scanner_.Peek()) + "\" is not expected here", kExamples);
    return false;
  }

  bool ExpectDash() {
    if (scanner_.Accept("-")) return true;
    Fail(scanner_.at(), "\"bytes\" needs a first and a last one",
         "write \"bytes 2-3\", or \"byte 2\" for a single one");
    return false;
  }

  std::optional<std::uint8_t> Number(std::uint64_t most, const std::string& what) {
    const std::size_t at = scanner_.at();
    const auto number = ParseUint64(scanner_.Peek());
    if (!number.ok()) {
      Fail(at, "the number of the " + what + " is missing", kExamples);
      return std::nullopt;
    }
    if (*number > most) {
      Fail(at, "there is no " + what + " " + std::string(scanner_.Peek()),
           what + "s are numbered 0 to " + std::to_string(most) +
               (what == "bit" ? ", within their byte" : ""));
      return std::nullopt;
    }
    scanner_.Next();
    return static_cast<std::uint8_t>(*number);
  }

  bool CheckOrder(std::uint8_t first, std::uint8_t last, const std::string& what) {
    if (first <= last) return true;
    const std::string turned = what + " " + std::to_string(last) + "-" + std::to_string(first);
    Fail(0, what + " " + std::to_string(first) + "-" + std::to_string(last) + " run backward",
         what == "bytes" ? "write \"" + turned + " little\" if the last byte counts most"
                         : "write \"" + turned + "\"");
    return false;
  }

  std::optional<ByteOrder> OrderWord() {
    if (scanner_.Accept("big")) return ByteOrder::kBig;
    if (scanner_.Accept("little")) return ByteOrder::kLittle;
    return std::nullopt;
  }

  bool ParsePart(Location& location) {
    if (scanner_.Accept("bytes")) return ParseBytesPart(location);
    if (scanner_.Accept("byte")) return ParseBytePart(location);
    FailWord();
    return false;
  }

  bool ParseBytePart(Location& location) {
    const auto byte = Number(kLastByte, "byte");
    if (!byte) return false;
    if (scanner_.Accept("bit")) {
      const auto bit = Number(7, "bit");
      if (!bit) return false;
      location.pieces.push_back({*byte, *bit, 1});
      return true;
    }
    if (!scanner_.Accept("bits")) {
      location.pieces.push_back({*byte, 0, 8});
      return true;
    }
    const auto low = Number(7, "bit");
    if (!low) return false;
    if (!scanner_.Accept("-")) {
      Fail(scanner_.at(), "\"bits\" needs a lowest and a highest one",
           "write \"bits 0-2\", or \"bit 0\" for a single one");
      return false;
    }
    const auto high = Number(7, "bit");
    if (!high || !CheckOrder(*low, *high, "bits")) return false;
    location.pieces.push_back({*byte, *low, static_cast<std::uint8_t>(*high - *low + 1)});
    return true;
  }

  bool ParseBytesPart(Location& location) {
    const auto first = Number(kLastByte, "byte");
    if (!first || !ExpectDash()) return false;
    const auto last = Number(kLastByte, "byte");
    if (!last || !CheckOrder(*first, *last, "bytes")) return false;
    if (scanner_.Peek() == "bit" || scanner_.Peek() == "bits") {
      Fail(scanner_.at(), "bits are chosen of one byte, not of several",
           "write the pieces one by one, for example \"byte 2 bits 0-3, byte 3\"");
      return false;
    }
    const auto word = OrderWord();
    const auto order = word ? word : order_;
    if (!order && *first != *last) {
      Fail(scanner_.at(), "it is not said which of these bytes counts most",
           "put \"byte order: big\" (first byte counts most) or \"byte order: little\" at the top "
           "of the file, or write \"big\" or \"little\" after the bytes");
      return false;
    }
    for (unsigned i = 0; i <= unsigned{*last} - *first; ++i) {
      const unsigned byte = order == ByteOrder::kLittle ? *last - i : *first + i;
      location.pieces.push_back({static_cast<std::uint8_t>(byte), 0, 8});
    }
    return true;
  }

  bool CheckTwice(const Location& location) {
    std::array<std::uint8_t, kLastByte + 1> used{};
    for (const Piece& piece : location.pieces) {
      const auto mask = static_cast<std::uint8_t>(((1U << piece.count) - 1U) << piece.lowest_bit);
      if ((used[piece.byte] & mask) != 0) {
        Fail(0, "names bits of byte " + std::to_string(piece.byte) + " twice", kExamples);
        return false;
      }
      used[piece.byte] = static_cast<std::uint8_t>(used[piece.byte] | mask);
    }
    return true;
  }

  Scanner scanner_;
  std::optional<ByteOrder> order_;
  TextProblem& problem_;
};

// The bits [first, first + count) counted from the most significant bit of byte 0.
Location BigBits(std::size_t first, unsigned count) {
  Location location;
  while (count > 0) {
    const auto byte = static_cast<std::uint8_t>(first / 8);
    const unsigned from_top = static_cast<unsigned>(first % 8);
    const unsigned here = std::min(count, 8 - from_top);
    location.pieces.push_back(
        {byte, static_cast<std::uint8_t>(8 - from_top - here), static_cast<std::uint8_t>(here)});
    first += here;
    count -= here;
  }
  return location;
}

// The bits [first, first + count) counted from the least significant bit of byte 0.
Location LittleBits(std::size_t first, unsigned count) {
  Location location;
  while (count > 0) {
    const auto byte = static_cast<std::uint8_t>(first / 8);
    const unsigned lowest = static_cast<unsigned>(first % 8);
    const unsigned here = std::min(count, 8 - lowest);
    location.pieces.insert(location.pieces.begin(), {byte, static_cast<std::uint8_t>(lowest),
                                                     static_cast<std::uint8_t>(here)});
    first += here;
    count -= here;
  }
  return location;
}

}  // namespace

std::optional<Location> ParseWhere(std::string_view text, std::optional<ByteOrder> order,
                                   TextProblem& problem) {
  return Parser(text, order, problem).ParseLocation();
}

std::optional<ByteRange> ParseBytes(std::string_view text, TextProblem& problem) {
  return Parser(text, std::nullopt, problem).ParseByteRange();
}

std::optional<ElementStart> ParseElementStart(std::string_view text, TextProblem& problem) {
  return Parser(text, std::nullopt, problem).ParseStart();
}

std::optional<ElementSize> ParseElementSize(std::string_view text, TextProblem& problem,
                                            unsigned most_bits) {
  return Parser(text, std::nullopt, problem).ParseSize(most_bits);
}

std::vector<Location> ElementLocations(const ElementStart& start, unsigned bits, ByteOrder order,
                                       std::uint32_t count) {
  const bool big = order == ByteOrder::kBig;
  const std::uint8_t bit = start.bit.value_or(big ? 7 : 0);
  std::size_t first = std::size_t{start.byte} * 8 + (big ? 7U - bit : bit);
  constexpr std::size_t kEnd = (kLastByte + 1) * 8;
  if (count > kEnd || first + std::size_t{bits} * count > kEnd) return {};
  std::vector<Location> locations;
  for (std::uint32_t i = 0; i < count; ++i, first += bits) {
    locations.push_back(big ? BigBits(first, bits) : LittleBits(first, bits));
  }
  return locations;
}

std::string FormatLocation(const Location& location) {
  std::string text;
  for (const Piece& piece : location.pieces) {
    if (!text.empty()) text += ", ";
    text += "byte " + std::to_string(piece.byte);
    if (piece.count == 8) continue;
    const unsigned high = unsigned{piece.lowest_bit} + piece.count - 1;
    text += piece.count == 1 ? " bit " : " bits ";
    text += std::to_string(piece.lowest_bit);
    if (piece.count > 1) text += "-" + std::to_string(high);
  }
  return text;
}

}  // namespace proofdrive::decoders
