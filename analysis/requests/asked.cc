#include "analysis/requests/asked.h"

#include <algorithm>
#include <utility>

namespace proofdrive::analysis {
namespace {

using decoders::AddressBook;
using decoders::BusAddress;
using decoders::Conversation;
using decoders::UnitAddress;
using decoders::UnitReports;

std::vector<UnitReports::Named> NamedUnits(const DefinitionSet& set) {
  std::vector<UnitReports::Named> named;
  if (set.definitions == nullptr) return named;
  for (const decoders::ControlUnit& unit : set.definitions->control_units) {
    const UnitAddress address{{unit.request, unit.extended}, {unit.answer, unit.extended}};
    named.push_back({unit.name, address});
  }
  return named;
}

bool CarriesRequests(const session::Reader& reader, const AddressBook& book) {
  const auto& streams = reader.streams();
  return std::any_of(streams.begin(), streams.end(), [&](const session::StreamInfo& stream) {
    return book.Carries({stream.key.id, (stream.key.flags & kExtendedId) != 0});
  });
}

// Whether an identifier is for requests beyond doubt: by a standard, or because the user said so.
bool ForRequests(BusAddress address, const std::vector<UnitReports::Named>& named) {
  if (decoders::IsFunctional(address)) return true;
  if (address.extended) return (address.id >> 16) == 0x18DA;
  if (address.id >= decoders::kFirstPhysicalId && address.id <= decoders::kLastPhysicalId) {
    return true;
  }
  return std::any_of(named.begin(), named.end(), [&](const UnitReports::Named& unit) {
    return unit.address.request == address;
  });
}

}  // namespace

bool AskedUnits::has_lists() const {
  return std::any_of(units.begin(), units.end(),
                     [](const decoders::UnitReport& unit) { return !unit.lists.empty(); });
}

std::uint64_t AskedUnits::faults() const {
  std::uint64_t sum = 0;
  for (const decoders::UnitReport& unit : units) sum += unit.faults();
  return sum;
}

Result<AskedUnits> AskedUnitsOf(session::Reader& reader, const DefinitionSet& set) {
  AskedUnits asked;
  asked.header = reader.header();
  asked.start = reader.first_time();
  asked.length = reader.last_time() - reader.first_time();
  const auto named = NamedUnits(set);
  AddressBook book;
  for (const UnitReports::Named& unit : named) book.Add(unit.address);
  if (!CarriesRequests(reader, book)) return asked;

  UnitReports reports(book, named);
  decoders::ConversationTracker tracker(book, [&](const Conversation& conversation) {
    if (conversation.answers.empty() && !ForRequests(conversation.request.address, named)) {
      ++asked.doubtful;
    } else {
      reports.Add(conversation);
    }
  });
  decoders::PassiveReassembler passive(
      book, [&](decoders::SeenMessage message) { tracker.OnMessage(std::move(message)); });
  RETURN_IF_ERROR(reader.ForEachFrame([&](const Frame& frame) {
    passive.OnFrame(frame);
    return true;
  }));
  passive.Finish();
  tracker.Finish();
  asked.counts = reports.counts();
  asked.requests = reports.requests();
  asked.units = reports.units();
  asked.silent = reports.silent();
  asked.unasked = tracker.unasked();
  asked.stray_frames = passive.stray_frames();
  return asked;
}

}  // namespace proofdrive::analysis
