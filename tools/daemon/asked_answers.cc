#include "tools/daemon/asked_answers.h"

#include <algorithm>
#include <utility>

#include "core/base/text.h"
#include "tools/daemon/daemon_answers.h"

namespace proofdrive::tools {
namespace {

using decoders::AnswerKind;
using decoders::BusAddress;
using decoders::Conversation;
using decoders::TransferProblem;
using decoders::UnitAnswer;
using nlohmann::json;

BusAddress AddressOf(const json& object, const char* key) {
  BusAddress address;
  const auto found = object.find(key);
  if (found == object.end() || !found->is_object()) return address;
  address.id = static_cast<std::uint32_t>(CountOf(*found, "id") & kMaxExtendedId);
  address.extended = found->value("extended", false);
  if (found->contains("byte")) address.byte = static_cast<std::uint8_t>(CountOf(*found, "byte"));
  return address;
}

Result<std::vector<std::uint8_t>> BytesOf(const json& object) {
  return ParseHexBytes(TextOf(object, "bytes"));
}

WallTime TimeOf(const json& object, const char* key) {
  const auto found = object.find(key);
  return WallFromNanoseconds(
      found != object.end() && found->is_number_integer() ? found->get<std::int64_t>() : 0);
}

template <class Kind>
Kind KindOf(const json& object, const char* key, Kind last) {
  const std::uint64_t value = CountOf(object, key);
  return value <= static_cast<std::uint64_t>(last) ? static_cast<Kind>(value) : last;
}

Result<UnitAnswer> ReadAnswer(const json& object, std::uint8_t channel) {
  UnitAnswer answer;
  answer.kind = KindOf(object, "kind", AnswerKind::kBroken);
  answer.pending = static_cast<std::uint32_t>(CountOf(object, "pending"));
  answer.message.channel = channel;
  answer.message.address = AddressOf(object, "from");
  answer.message.begun = TimeOf(object, "begun_ns");
  answer.message.ended = TimeOf(object, "ended_ns");
  answer.message.problem = KindOf(object, "problem", TransferProblem::kCrowded);
  answer.message.announced = static_cast<std::uint32_t>(CountOf(object, "announced"));
  ASSIGN_OR_RETURN(answer.message.bytes, BytesOf(object));
  const bool empty = answer.message.bytes.empty() && answer.kind != AnswerKind::kBroken;
  if (empty) return Status(ErrorKind::kCorrupt, "an answer without bytes");
  return answer;
}

Result<Conversation> ReadConversation(const json& object) {
  Conversation conversation;
  decoders::SeenMessage& request = conversation.request;
  request.channel = static_cast<std::uint8_t>(CountOf(object, "channel") & 0xFF);
  request.address = AddressOf(object, "to");
  request.begun = request.ended = TimeOf(object, "time_ns");
  ASSIGN_OR_RETURN(request.bytes, BytesOf(object));
  conversation.functional = decoders::IsFunctional(request.address);
  for (const json& entry : ObjectsOf(object, "answers")) {
    ASSIGN_OR_RETURN(UnitAnswer answer, ReadAnswer(entry, request.channel));
    conversation.answers.push_back(std::move(answer));
  }
  return conversation;
}

std::vector<decoders::NamedUnit> NamedOf(const json& document) {
  std::vector<decoders::NamedUnit> named;
  for (const json& entry : ObjectsOf(document, "named")) {
    named.push_back(
        {TextOf(entry, "name"), {AddressOf(entry, "request"), AddressOf(entry, "answer")}});
  }
  return named;
}

void ReadChannels(const json& document, session::Header& header) {
  for (const json& entry : ObjectsOf(document, "channels")) {
    session::Channel channel;
    channel.number = static_cast<std::uint8_t>(CountOf(entry, "number") & 0xFF);
    channel.name = TextOf(entry, "name");
    channel.bus = TextOf(entry, "bus");
    header.channels.push_back(std::move(channel));
  }
}

}  // namespace

Result<analysis::AskedUnits> ReadAsked(const json& document, std::string& problem) {
  analysis::AskedUnits asked;
  problem = TextOf(document, "problem");
  ReadChannels(document, asked.header);
  const auto named = NamedOf(document);
  decoders::AddressBook book;
  for (const auto& unit : named) book.Add(unit.address);
  decoders::UnitReports reports(book, named);
  bool first = true;
  for (const json& entry : ObjectsOf(document, "conversations")) {
    auto conversation = ReadConversation(entry);
    if (!conversation.ok()) return conversation.status().WithContext("the daemon's answer");
    if (std::exchange(first, false)) asked.start = conversation->request.begun;
    asked.length = std::max(asked.length, conversation->request.begun - asked.start);
    reports.Add(*conversation);
  }
  asked.counts = reports.counts();
  asked.requests = reports.requests();
  asked.units = reports.units();
  asked.silent = reports.silent();
  return asked;
}

}  // namespace proofdrive::tools
