#include "daemon/asking/questions.h"

#include <algorithm>
#include <utility>

#include "core/base/text.h"
#include "decoders/model/unit_address.h"
#include "decoders/services/answers.h"
#include "decoders/services/service_names.h"

namespace proofdrive::daemon {
namespace {

using Bytes = std::vector<std::uint8_t>;
using decoders::AnswerKind;
using decoders::Conversation;
using decoders::UnitAnswer;

constexpr std::size_t kMostRecords = 16;  // codes of one unit whose records are asked for
constexpr std::size_t kMostUnits = 64;
// What says which parts and which software are installed (ISO 14229-1 Annex C.1).
constexpr std::uint8_t kIdentification[] = {0x80, 0x81, 0x82, 0x87, 0x88, 0x89, 0x8A, 0x8B,
                                            0x8C, 0x91, 0x92, 0x93, 0x94, 0x95, 0x97};

Bytes ReadRequest(std::uint16_t identifier) {
  return {decoders::kReadByIdentifier, static_cast<std::uint8_t>(identifier >> 8),
          static_cast<std::uint8_t>(identifier & 0xFF)};
}

bool Refused(const UnitAnswer* answer, std::uint8_t code) {
  return answer != nullptr && answer->kind == AnswerKind::kRefused && answer->refusal() == code;
}

bool Positive(const UnitAnswer* answer) {
  return answer != nullptr && answer->kind == AnswerKind::kPositive;
}

// Not in this diagnostic session: service or sub-function.
bool NeedsSession(const UnitAnswer* answer) {
  return Refused(answer, 0x7F) || Refused(answer, 0x7E);
}

bool IsFault(std::uint8_t status) {
  decoders::ReportedCode code;
  code.status = status;
  return code.is_fault();
}

}  // namespace

std::vector<KnownUnit> Questions::NamedUnits(const decoders::Definitions* definitions,
                                             const std::vector<session::Channel>& channels) {
  std::vector<KnownUnit> units;
  if (definitions == nullptr) return units;
  for (const decoders::ControlUnit& unit : definitions->control_units) {
    for (const session::Channel& channel : channels) {
      const bool on_it = unit.bus.empty() || channel.bus.empty() || unit.bus == channel.bus;
      if (!on_it) continue;
      units.push_back({unit.name, channel.number, decoders::AddressOf(unit)});
    }
  }
  return units;
}

Questions::Questions(Asker& asker, const decoders::Definitions* definitions,
                     std::vector<session::Channel> channels)
    : asker_(asker), channels_(std::move(channels)), units_(NamedUnits(definitions, channels_)) {}

std::vector<std::string> Questions::Describe(const decoders::Definitions* definitions) {
  std::vector<std::string> lines = {
      "to all units of each bus, on 7DF and 18DB33F1: SAE J1979 01 00, 01 01, 03, 07, 0A",
      "to each unit: TesterPresent, ReadDTCInformation 02, 0A, 04, 06; if it must be, "
      "DiagnosticSessionControl 03 and back",
      "to each unit: ReadDataByIdentifier F180 to F19F (not the VIN unless asked)"};
  if (definitions == nullptr) return lines;
  for (const decoders::ControlUnit& unit : definitions->control_units) {
    lines.push_back("unit " + unit.name + " on " +
                    decoders::FormatAddress(decoders::AddressOf(unit).request) +
                    (unit.fd ? " in CAN FD frames" : ""));
  }
  for (const decoders::Reading& reading : definitions->readings) {
    lines.push_back("while recording, every " + FormatDuration(reading.every) + ": " +
                    definitions->signals[reading.signal].name + " of " + reading.control_unit);
  }
  return lines;
}

void Questions::AskAll(AskedRound& round, const Bytes& request) {
  for (const session::Channel& channel : channels_) {
    for (const bool extended : {false, true}) {
      if (!round.problem.empty()) return;
      const bool any = std::any_of(units_.begin(), units_.end(), [&](const KnownUnit& unit) {
        return unit.address.request.extended == extended;
      });
      if (discovered_ && !any) continue;  // nobody there
      const std::uint32_t id = extended ? decoders::kFunctionalExtendedId : decoders::kFunctionalId;
      auto answer = asker_.Ask({channel.number, {id, extended}}, request, permission_);
      if (!answer.ok()) {
        round.problem = answer.status().message();
      } else {
        round.conversations.push_back(std::move(*answer));
      }
    }
  }
}

// Whoever answers a question to all is asked singly from then on.
void Questions::Discover(AskedRound& round) {
  if (discovered_) return;
  const std::size_t first = round.conversations.size();
  AskAll(round, {decoders::kCurrentData, 0x00});
  AskAll(round, {decoders::kTesterPresent, 0x00});
  discovered_ = round.problem.empty();
  const decoders::AddressBook standard;
  for (std::size_t i = first; i < round.conversations.size(); ++i) {
    for (const UnitAnswer& answer : round.conversations[i].answers) {
      const auto request = standard.RequestOf(answer.message.address);
      const KnownUnit unit{{},
                           answer.message.channel,
                           {request.value_or(decoders::BusAddress{}), answer.message.address}};
      const bool known = std::any_of(units_.begin(), units_.end(), [&](const KnownUnit& other) {
        return other.channel == unit.channel && other.address.answer == unit.address.answer;
      });
      if (request && !known && units_.size() < kMostUnits) units_.push_back(unit);
    }
  }
}

const UnitAnswer* Questions::AskUnit(AskedRound& round, const KnownUnit& unit,
                                     const Bytes& request) {
  if (!round.problem.empty()) return nullptr;
  auto conversation = asker_.Ask({unit.channel, unit.address.request}, request, permission_);
  if (!conversation.ok()) {
    round.problem = conversation.status().message();
    return nullptr;
  }
  round.conversations.push_back(std::move(*conversation));
  const auto& answers = round.conversations.back().answers;
  return answers.empty() ? nullptr : &answers.front();
}

bool Questions::IsThere(AskedRound& round, const KnownUnit& unit) {
  return AskUnit(round, unit, {decoders::kTesterPresent, 0x00}) != nullptr;
}

void Questions::AskRecords(AskedRound& round, const KnownUnit& unit, const Bytes& list) {
  const auto codes = decoders::ParseCodeList(list);
  if (!codes.ok()) return;
  std::size_t asked = 0;
  for (const decoders::CodeWithStatus& entry : codes->codes) {
    if (!IsFault(entry.status) || ++asked > kMostRecords) continue;
    for (const std::uint8_t report : {std::uint8_t{0x04}, std::uint8_t{0x06}}) {
      AskUnit(round, unit,
              {decoders::kCodeInformation, report, static_cast<std::uint8_t>(entry.code.code >> 8),
               static_cast<std::uint8_t>(entry.code.code & 0xFF),
               entry.code.failure_type.value_or(0), 0xFF});
    }
  }
}

void Questions::AskCodes(AskedRound& round, const KnownUnit& unit) {
  if (!IsThere(round, unit)) return;
  const Bytes by_mask = {decoders::kCodeInformation, 0x02, 0xFF};
  const UnitAnswer* answer = AskUnit(round, unit, by_mask);
  const bool in_session = NeedsSession(answer);
  if (in_session) {
    AskUnit(round, unit, {decoders::kSessionControl, 0x03});
    answer = AskUnit(round, unit, by_mask);
  }
  if (Positive(answer)) {
    const Bytes list = answer->message.bytes;
    AskUnit(round, unit, {decoders::kCodeInformation, 0x0A});
    AskRecords(round, unit, list);
  }
  if (in_session) AskUnit(round, unit, {decoders::kSessionControl, 0x01});
}

AskedRound Questions::Codes() {
  AskedRound round;
  Discover(round);
  AskAll(round, {decoders::kStoredCodes});
  AskAll(round, {decoders::kPendingCodes});
  AskAll(round, {decoders::kPermanentCodes});
  AskAll(round, {decoders::kCurrentData, 0x01});
  for (const KnownUnit& unit : std::vector<KnownUnit>(units_)) AskCodes(round, unit);
  return round;
}

AskedRound Questions::Identification(bool vin) {
  AskedRound round;
  Discover(round);
  for (const KnownUnit& unit : std::vector<KnownUnit>(units_)) {
    if (!IsThere(round, unit)) continue;
    for (const std::uint8_t low : kIdentification) {
      AskUnit(round, unit, ReadRequest(static_cast<std::uint16_t>(0xF100 | low)));
    }
    if (vin) AskUnit(round, unit, ReadRequest(decoders::kVinIdentifier));
  }
  if (vin) AskAll(round, {decoders::kVehicleInformation, decoders::kVinInformation});
  return round;
}

AskedRound Questions::Clear() {
  AskedRound round;
  Discover(round);
  permission_ = decoders::Permission::kClear;
  for (const KnownUnit& unit : std::vector<KnownUnit>(units_)) {
    if (!IsThere(round, unit)) continue;
    AskUnit(round, unit, {decoders::kClearInformation, 0xFF, 0xFF, 0xFF});
  }
  permission_ = decoders::Permission::kRead;
  return round;
}

Result<Conversation> Questions::Read(const decoders::Reading& reading) {
  for (const KnownUnit& unit : units_) {
    if (unit.name != reading.control_unit) continue;
    return asker_.Ask({unit.channel, unit.address.request}, ReadRequest(reading.identifier),
                      permission_);
  }
  return Status(ErrorKind::kNotFound, "no channel leads to " + reading.control_unit);
}

}  // namespace proofdrive::daemon
