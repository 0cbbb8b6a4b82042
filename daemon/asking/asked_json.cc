#include "daemon/asking/asked_json.h"

#include <nlohmann/json.hpp>
#include <utility>

#include "core/base/json.h"
#include "core/base/text.h"
#include "decoders/model/unit_address.h"
#include "decoders/services/service_names.h"

namespace proofdrive::daemon {
namespace {

using decoders::UnitReport;
using Json = nlohmann::ordered_json;

constexpr std::size_t kCodesNamed = 8;

Json AddressJson(decoders::BusAddress address) {
  Json object{{"id", address.id}, {"extended", address.extended}};
  if (address.byte) object["byte"] = *address.byte;
  return object;
}

Json AnswerJson(const decoders::UnitAnswer& answer) {
  const decoders::SeenMessage& message = answer.message;
  return {{"from", AddressJson(message.address)},
          {"begun_ns", ToNanoseconds(message.begun)},
          {"ended_ns", ToNanoseconds(message.ended)},
          {"kind", static_cast<int>(answer.kind)},
          {"pending", answer.pending},
          {"problem", static_cast<int>(message.problem)},
          {"announced", message.announced},
          {"bytes", HexBytes(message.bytes, "")}};
}

Json ConversationJson(const decoders::Conversation& conversation) {
  Json answers = Json::array();
  for (const decoders::UnitAnswer& answer : conversation.answers) {
    answers.push_back(AnswerJson(answer));
  }
  return {{"channel", conversation.request.channel},
          {"to", AddressJson(conversation.request.address)},
          {"time_ns", ToNanoseconds(conversation.request.begun)},
          {"bytes", HexBytes(conversation.request.bytes, "")},
          {"answers", std::move(answers)}};
}

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

std::string AskedRoundJson(const AskedDocument& document, const AskedRound& round,
                           const decoders::Definitions* definitions,
                           const std::vector<session::Channel>& channels) {
  Json json = {{"what", document.what},
               {"reason", document.reason},
               {"time", FormatWallTime(document.time, 6)},
               {"problem", round.problem},
               {"channels", Json::array()},
               {"named", Json::array()},
               {"conversations", Json::array()}};
  for (const session::Channel& channel : channels) {
    json["channels"].push_back(
        {{"number", channel.number}, {"name", channel.name}, {"bus", channel.bus}});
  }
  for (const KnownUnit& unit : Questions::NamedUnits(definitions, channels)) {
    json["named"].push_back({{"name", unit.name},
                             {"request", AddressJson(unit.address.request)},
                             {"answer", AddressJson(unit.address.answer)}});
  }
  for (const decoders::Conversation& conversation : round.conversations) {
    json["conversations"].push_back(ConversationJson(conversation));
  }
  return DumpJson(json);
}

std::string AskedRoundText(const AskedDocument& document, const AskedRound& round,
                           const decoders::Definitions* definitions) {
  const decoders::AddressBook book = decoders::AddressBookOf(definitions);
  decoders::UnitReports reports(book, decoders::NamedUnitsOf(definitions));
  for (const decoders::Conversation& conversation : round.conversations) reports.Add(conversation);
  std::vector<std::string> parts;
  for (const UnitReport& unit : reports.units()) parts.push_back(UnitText(document.what, unit));
  for (const std::string& name : reports.silent()) parts.push_back(name + " silent");
  if (parts.empty()) parts.push_back("no control unit answered");
  if (!round.problem.empty()) parts.push_back("ended early: " + round.problem);
  return document.what + ", " + document.reason + ": " + Join(parts, "; ");
}

}  // namespace proofdrive::daemon
