#include "tools/daemon/asked_answers.h"

#include <algorithm>
#include <utility>

#include "decoders/services/asked_document.h"

namespace proofdrive::tools {

using decoders::AskedDocument;

Result<analysis::AskedUnits> ReadAsked(const nlohmann::json& json, std::string& problem) {
  auto read = decoders::ReadAskedDocument(json);
  if (!read.ok()) return read.status().WithContext("the daemon's answer");
  const AskedDocument document = std::move(*read);
  problem = document.problem;
  analysis::AskedUnits asked;
  for (const decoders::AskedChannel& channel : document.channels) {
    session::Channel& kept = asked.header.channels.emplace_back();
    kept.number = channel.number;
    kept.name = channel.name;
    kept.bus = channel.bus;
  }
  decoders::AddressBook book;
  for (const auto& unit : document.named) book.Add(unit.address);
  decoders::UnitReports reports(book, document.named);
  bool first = true;
  for (const decoders::Conversation& conversation : document.conversations) {
    if (std::exchange(first, false)) asked.start = conversation.request.begun;
    asked.length = std::max(asked.length, conversation.request.begun - asked.start);
    reports.Add(conversation);
  }
  asked.counts = reports.counts();
  asked.requests = reports.requests();
  asked.units = reports.units();
  asked.silent = reports.silent();
  return asked;
}

}  // namespace proofdrive::tools
