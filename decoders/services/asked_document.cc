#include "decoders/services/asked_document.h"

#include <nlohmann/json.hpp>
#include <utility>

#include "core/base/json.h"
#include "core/base/text.h"

namespace proofdrive::decoders {
namespace {

using nlohmann::json;
using Written = nlohmann::ordered_json;

Written WriteAddress(BusAddress address) {
  Written object{{"id", address.id}, {"extended", address.extended}};
  if (address.byte) object["byte"] = *address.byte;
  return object;
}

Written WriteAnswer(const UnitAnswer& answer) {
  const SeenMessage& message = answer.message;
  return {{"from", WriteAddress(message.address)},
          {"begun_ns", ToNanoseconds(message.begun)},
          {"ended_ns", ToNanoseconds(message.ended)},
          {"kind", static_cast<int>(answer.kind)},
          {"pending", answer.pending},
          {"problem", static_cast<int>(message.problem)},
          {"announced", message.announced},
          {"bytes", HexBytes(message.bytes, "")}};
}

Written WriteConversation(const Conversation& conversation) {
  Written answers = Written::array();
  for (const UnitAnswer& answer : conversation.answers) answers.push_back(WriteAnswer(answer));
  return {{"channel", conversation.request.channel},
          {"to", WriteAddress(conversation.request.address)},
          {"time_ns", ToNanoseconds(conversation.request.begun)},
          {"bytes", HexBytes(conversation.request.bytes, "")},
          {"answers", std::move(answers)}};
}

// Members of a document that may be anything: null when missing.
const json& Member(const json& object, const char* key) {
  static const json kNothing;
  const auto found = object.find(key);
  return found == object.end() ? kNothing : *found;
}

std::string ReadText(const json& object, const char* key) {
  const json& member = Member(object, key);
  return member.is_string() ? Printable(member.get_ref<const std::string&>()) : std::string();
}

std::uint64_t ReadCount(const json& object, const char* key) {
  const json& member = Member(object, key);
  return member.is_number_unsigned() ? member.get<std::uint64_t>() : 0;
}

std::uint8_t ReadByte(const json& object, const char* key) {
  return static_cast<std::uint8_t>(ReadCount(object, key) & 0xFF);
}

WallTime ReadTime(const json& object, const char* key) {
  const json& member = Member(object, key);
  return WallFromNanoseconds(member.is_number_integer() ? member.get<std::int64_t>() : 0);
}

// Numbers of a newer program count as the last one known here.
template <class Kind>
Kind ReadKind(const json& object, const char* key, Kind last) {
  const std::uint64_t value = ReadCount(object, key);
  return value <= static_cast<std::uint64_t>(last) ? static_cast<Kind>(value) : last;
}

BusAddress ReadAddress(const json& object, const char* key) {
  const json& member = Member(object, key);
  BusAddress address;
  if (!member.is_object()) return address;
  const json& extended = Member(member, "extended");
  address.id = static_cast<std::uint32_t>(ReadCount(member, "id") & kMaxExtendedId);
  address.extended = extended.is_boolean() && extended.get<bool>();
  if (member.contains("byte")) address.byte = ReadByte(member, "byte");
  return address;
}

// Calls `take` with every object of a list; anything else in it is left out.
template <class Take>
Status ForObjects(const json& object, const char* key, const Take& take) {
  const json& list = Member(object, key);
  if (!list.is_array()) return Status::Ok();
  for (const json& entry : list) {
    if (entry.is_object()) RETURN_IF_ERROR(take(entry));
  }
  return Status::Ok();
}

Result<UnitAnswer> ReadAnswer(const json& object, std::uint8_t channel) {
  UnitAnswer answer;
  answer.kind = ReadKind(object, "kind", AnswerKind::kBroken);
  answer.pending = static_cast<std::uint32_t>(ReadCount(object, "pending"));
  answer.message.channel = channel;
  answer.message.address = ReadAddress(object, "from");
  answer.message.begun = ReadTime(object, "begun_ns");
  answer.message.ended = ReadTime(object, "ended_ns");
  answer.message.problem = ReadKind(object, "problem", TransferProblem::kCrowded);
  answer.message.announced = static_cast<std::uint32_t>(ReadCount(object, "announced"));
  ASSIGN_OR_RETURN(answer.message.bytes, ParseHexBytes(ReadText(object, "bytes")));
  const bool empty = answer.message.bytes.empty() && answer.kind != AnswerKind::kBroken;
  if (empty) return Status(ErrorKind::kCorrupt, "an answer without bytes");
  return answer;
}

Result<Conversation> ReadConversation(const json& object) {
  Conversation conversation;
  SeenMessage& request = conversation.request;
  request.channel = ReadByte(object, "channel");
  request.address = ReadAddress(object, "to");
  request.begun = request.ended = ReadTime(object, "time_ns");
  ASSIGN_OR_RETURN(request.bytes, ParseHexBytes(ReadText(object, "bytes")));
  conversation.functional = IsFunctional(request.address);
  RETURN_IF_ERROR(ForObjects(object, "answers", [&](const json& entry) {
    ASSIGN_OR_RETURN(UnitAnswer answer, ReadAnswer(entry, request.channel));
    conversation.answers.push_back(std::move(answer));
    return Status::Ok();
  }));
  return conversation;
}

}  // namespace

std::string WriteAskedDocument(const AskedDocument& document) {
  Written json = {{"what", document.what},
                  {"reason", document.reason},
                  {"time", FormatWallTime(document.time, 6)},
                  {"problem", document.problem},
                  {"channels", Written::array()},
                  {"named", Written::array()},
                  {"conversations", Written::array()}};
  for (const AskedChannel& channel : document.channels) {
    json["channels"].push_back(
        {{"number", channel.number}, {"name", channel.name}, {"bus", channel.bus}});
  }
  for (const NamedUnit& unit : document.named) {
    json["named"].push_back({{"name", unit.name},
                             {"request", WriteAddress(unit.address.request)},
                             {"answer", WriteAddress(unit.address.answer)}});
  }
  for (const Conversation& conversation : document.conversations) {
    json["conversations"].push_back(WriteConversation(conversation));
  }
  return DumpJson(json);
}

Result<AskedDocument> ReadAskedDocument(const json& json) {
  AskedDocument document;
  document.what = ReadText(json, "what");
  document.reason = ReadText(json, "reason");
  document.problem = ReadText(json, "problem");
  if (const auto time = ParseWallTime(ReadText(json, "time")); time.ok()) document.time = *time;
  RETURN_IF_ERROR(ForObjects(json, "channels", [&](const auto& entry) {
    document.channels.push_back(
        {ReadByte(entry, "number"), ReadText(entry, "name"), ReadText(entry, "bus")});
    return Status::Ok();
  }));
  RETURN_IF_ERROR(ForObjects(json, "named", [&](const auto& entry) {
    document.named.push_back(
        {ReadText(entry, "name"), {ReadAddress(entry, "request"), ReadAddress(entry, "answer")}});
    return Status::Ok();
  }));
  RETURN_IF_ERROR(ForObjects(json, "conversations", [&](const auto& entry) {
    ASSIGN_OR_RETURN(Conversation conversation, ReadConversation(entry));
    document.conversations.push_back(std::move(conversation));
    return Status::Ok();
  }));
  return document;
}

}  // namespace proofdrive::decoders
