#include "output/words/code_words.h"

#include "core/base/text.h"
#include "decoders/services/service_names.h"

namespace proofdrive::output {
namespace {

using decoders::Basis;
using decoders::ReportedCode;
using decoders::UnitReport;

constexpr std::size_t kBytesShown = 32;

}  // namespace

std::string ShownBytes(ByteSpan bytes) {
  if (bytes.size() <= kBytesShown) return HexBytes(bytes);
  return HexBytes(bytes.subspan(0, kBytesShown)) + " ... (" + CountOf(bytes.size(), "byte") + ")";
}

std::string UnitLabel(const UnitReport& unit) {
  return unit.name.empty() ? "unit at " + decoders::FormatAddress(unit.answer)
                           : Printable(unit.name);
}

std::string DescribeCode(const decoders::TroubleCode& code) {
  std::string text;
  if (const auto title = decoders::TroubleCodeTitle(code.code)) {
    text = std::string(title->text) + " (title " + std::string(BasisName(title->basis)) + ")";
  } else {
    const std::string_view owner = decoders::TroubleCodeOwner(code.code);
    text = owner == "maker" ? "a code of the maker's own: see the maker's documents"
                            : "no title known";
  }
  if (!code.failure_type || *code.failure_type == 0) return text;
  const std::uint8_t type[] = {*code.failure_type};
  const auto failure = decoders::FailureTypeText(*code.failure_type);
  text += "; failure type " + HexBytes(type) + ": ";
  if (!failure) return text + "not named by the standard";
  text += failure->text;
  return failure->basis == Basis::kFromMemory ? text + " (from memory)" : text;
}

std::string DescribeState(const ReportedCode& code) {
  std::vector<std::string> parts;
  if (code.status) {
    const std::uint8_t status[] = {*code.status};
    const auto words = decoders::StatusInWords(*code.status);
    parts.push_back("status " + HexBytes(status) +
                    (words.empty() ? ": no bit is set" : ": " + Join(words, "; ")));
  }
  if (code.stored) parts.push_back("in the list of confirmed codes");
  if (code.pending) parts.push_back("in the list of pending codes");
  if (code.permanent) parts.push_back("in the list of permanent codes");
  return Join(parts, "; ");
}

std::string IdentifierText(std::uint16_t identifier, ByteSpan data, bool show_vin) {
  const auto text = decoders::TextOfData(data);
  if (identifier == decoders::kVinIdentifier && !show_vin) {
    return text ? decoders::MaskedVin(*text) : CountOf(data.size(), "byte") + ", masked";
  }
  return text ? *text : ShownBytes(data);
}

}  // namespace proofdrive::output
