#include "daemon/asking/asked_text.h"

#include "core/base/text.h"
#include "decoders/model/unit_address.h"
#include "decoders/services/unit_reports.h"

namespace proofdrive::daemon {
namespace {

using decoders::UnitReport;

constexpr std::size_t kCodesNamed = 8;

std::string UnitText(const std::string& what, const UnitReport& unit) {
  std::string text =
      unit.name.empty() ? "unit at " + decoders::FormatAddress(unit.answer) : unit.name;
  if (what == "clear") return text + (unit.positive > 0 ? " cleared its codes" : " refused");
  if (!unit.identification.empty()) {
    return text + " " + CountOf(unit.identification.size(), "identifier");
  }
  if (unit.lists.empty()) return text + " no list of codes";
  std::vector<std::string> codes;
  for (const auto& [key, code] : unit.codes) {
    if (code.is_fault() && codes.size() < kCodesNamed) codes.push_back(FormatTroubleCode(key));
  }
  text += " " + FormatCount(unit.faults()) + " open";
  return codes.empty() ? text : text + " (" + Join(codes, ", ") + ")";
}

}  // namespace

std::string AskedText(const decoders::AskedDocument& document,
                      const decoders::Definitions* definitions) {
  const decoders::AddressBook book = decoders::AddressBookOf(definitions);
  decoders::UnitReports reports(book, decoders::NamedUnitsOf(definitions));
  for (const decoders::Conversation& conversation : document.conversations) {
    reports.Add(conversation);
  }
  std::vector<std::string> parts;
  for (const UnitReport& unit : reports.units()) parts.push_back(UnitText(document.what, unit));
  for (const std::string& name : reports.silent()) parts.push_back(name + " silent");
  if (parts.empty()) parts.push_back("no control unit answered");
  if (!document.problem.empty()) parts.push_back("ended early: " + document.problem);
  return document.what + ", " + document.reason + ": " + Join(parts, "; ");
}

}  // namespace proofdrive::daemon
