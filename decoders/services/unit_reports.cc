#include "decoders/services/unit_reports.h"

#include <algorithm>
#include <utility>

#include "core/base/text.h"
#include "decoders/services/service_names.h"

namespace proofdrive::decoders {
namespace {

constexpr std::size_t kMostUnits = 1024;
constexpr std::size_t kMostCodes = 4096;
constexpr std::size_t kMostRecords = 64;  // per code and kind
constexpr std::size_t kMostRefusals = 64;
constexpr std::size_t kMostOddities = 16;
constexpr std::size_t kMostRequests = 256;
constexpr std::uint32_t kManyPending = 20;  // "response pending" to one request

void NoteOddity(UnitReport& unit, const std::string& text) {
  if (unit.oddities.size() >= kMostOddities) return;
  if (std::find(unit.oddities.begin(), unit.oddities.end(), text) == unit.oddities.end()) {
    unit.oddities.push_back(text);
  }
}

ReportedCode* CodeOf(UnitReport& unit, const TroubleCode& code, WallTime time) {
  const auto known = unit.codes.find(code);
  if (known == unit.codes.end() && unit.codes.size() >= kMostCodes) {
    NoteOddity(unit,
               "reports more than " + FormatCount(kMostCodes) + " codes; the rest is left out");
    return nullptr;
  }
  ReportedCode& reported = unit.codes[code];
  if (known == unit.codes.end()) {
    reported.code = code;
    reported.first_seen = time;
  }
  reported.last_seen = time;
  return &reported;
}

void AddList(UnitReport& unit, const CodeList& list, WallTime time) {
  unit.available = list.available;
  for (const CodeWithStatus& entry : list.codes) {
    if (ReportedCode* code = CodeOf(unit, entry.code, time)) {
      code->status = entry.status & list.available;
    }
  }
  if (list.bytes_left_over > 0) {
    NoteOddity(unit, "a list of codes ends in the middle of a code");
  }
}

// A later list replaces what an earlier one of the same service said.
void AddObdList(UnitReport& unit, std::uint8_t service, const ObdCodeList& list, WallTime time) {
  const auto flag = [&](ReportedCode& code) -> bool& {
    if (service == kPendingCodes) return code.pending;
    return service == kPermanentCodes ? code.permanent : code.stored;
  };
  for (auto& [key, code] : unit.codes) flag(code) = false;
  for (const TroubleCode& listed : list.codes) {
    if (ReportedCode* code = CodeOf(unit, listed, time)) flag(*code) = true;
  }
  if (!list.count_fits()) {
    NoteOddity(unit, "a list of codes is not as long as it says (" + CountOf(list.stated, "code") +
                         " stated, " + CountOf(list.codes.size(), "code") + " found)");
  }
}

void AddRecord(UnitReport& unit, std::vector<CodeRecord>& records, CodeRecord record) {
  if (!record.record) return;
  const auto same = std::find_if(records.begin(), records.end(), [&](const CodeRecord& other) {
    return other.record == record.record;
  });
  if (same != records.end()) {
    *same = std::move(record);
  } else if (records.size() < kMostRecords) {
    records.push_back(std::move(record));
  } else {
    NoteOddity(unit, "has more records of a code than are kept");
  }
}

Status AddRecordAnswer(UnitReport& unit, ByteSpan answer, WallTime time) {
  ASSIGN_OR_RETURN(CodeRecord record, ParseCodeRecord(answer));
  ReportedCode* code = CodeOf(unit, record.code, time);
  if (code == nullptr) return Status::Ok();
  code->status = record.status;
  const bool snapshot = answer[1] == static_cast<std::uint8_t>(CodeReport::kSnapshot);
  AddRecord(unit, snapshot ? code->snapshots : code->extended, std::move(record));
  return Status::Ok();
}

Status AddCodeInformation(UnitReport& unit, ByteSpan answer, WallTime time) {
  if (answer.size() < 2) return Status(ErrorKind::kCorrupt, "the answer to 19 is too short");
  switch (static_cast<CodeReport>(answer[1])) {
    case CodeReport::kByMask:
    case CodeReport::kSupported: {
      ASSIGN_OR_RETURN(const CodeList list, ParseCodeList(answer));
      AddList(unit, list, time);
      unit.lists.insert("19 " + HexBytes(answer.subspan(1, 1)));
      return Status::Ok();
    }
    case CodeReport::kSnapshot:
    case CodeReport::kExtendedData:
      return AddRecordAnswer(unit, answer, time);
    case CodeReport::kCount:
      return ParseCodeCount(answer).status();
    case CodeReport::kSnapshotIds:
      return ParseSnapshotIds(answer).status();
  }
  return Status::Ok();  // a report this project does not read
}

Status AddObdCodes(UnitReport& unit, ByteSpan answer, WallTime time) {
  ASSIGN_OR_RETURN(const ObdCodeList list, ParseObdCodes(answer));
  const auto service = static_cast<std::uint8_t>(answer[0] - kAnswerBit);
  AddObdList(unit, service, list, time);
  const std::uint8_t name[] = {service};
  unit.lists.insert(HexBytes(name));
  return Status::Ok();
}

Status AddIdentifiers(UnitReport& unit, ByteSpan request, ByteSpan answer) {
  ASSIGN_OR_RETURN(const IdentifierValues values, ParseIdentifierValues(request, answer));
  if (!values.told_apart) {
    NoteOddity(unit, "answers several identifiers at once that cannot be told apart");
  }
  for (const IdentifierValue& value : values.values) {
    if (!IdentifierName(value.identifier).empty()) {
      unit.identification[value.identifier] = value.data;
    }
  }
  return Status::Ok();
}

Status AddCurrentData(UnitReport& unit, ByteSpan answer) {
  if (answer.size() < 2 || answer[1] != 0x01) return Status::Ok();
  ASSIGN_OR_RETURN(unit.monitors, ParseMonitorStatus(answer));
  return Status::Ok();
}

Status AddVehicleInformation(UnitReport& unit, ByteSpan answer) {
  if (answer.size() >= 2 && answer[1] == 0) return ParseSupported(answer).status();
  ASSIGN_OR_RETURN(VehicleInformation information, ParseVehicleInformation(answer));
  unit.information[information.type] = std::move(information);
  return Status::Ok();
}

void AddRefusal(UnitReport& unit, const std::string& request, std::uint8_t code) {
  for (ReportedRefusal& refusal : unit.refusals) {
    if (refusal.request == request && refusal.code == code) {
      ++refusal.times;
      return;
    }
  }
  if (unit.refusals.size() < kMostRefusals) unit.refusals.push_back({request, code, 1});
}

}  // namespace

bool ReportedCode::is_fault() const {
  constexpr std::uint8_t kFault = kTestFailed | kPending | kConfirmed | kIndicatorRequested;
  return stored || pending || permanent || (status && (*status & kFault) != 0);
}

std::uint64_t UnitReport::faults() const {
  return static_cast<std::uint64_t>(std::count_if(
      codes.begin(), codes.end(), [](const auto& entry) { return entry.second.is_fault(); }));
}

UnitReports::UnitReports(const AddressBook& book, std::vector<NamedUnit> names)
    : book_(book), names_(std::move(names)) {}

UnitReport* UnitReports::UnitOf(const UnitAnswer& answer) {
  const Key key{answer.message.channel, answer.message.address};
  const auto known = units_.find(key);
  if (known != units_.end()) return &known->second;
  if (units_.size() >= kMostUnits) return nullptr;
  UnitReport unit;
  unit.channel = key.first;
  unit.answer = key.second;
  unit.request = book_.RequestOf(key.second);
  for (const NamedUnit& named : names_) {
    if (named.address.answer == key.second) unit.name = named.name;
  }
  return &units_.emplace(key, std::move(unit)).first->second;
}

void UnitReports::Count(const Conversation& conversation) {
  ++counts_.all;
  if (conversation.functional) ++counts_.functional;
  if (conversation.complete()) {
    ++counts_.complete;
  } else if (conversation.answers.empty()) {
    ++counts_.unanswered;
  } else {
    ++counts_.abandoned;
  }
  const std::string words = DescribeRequest(conversation.request.bytes);
  if (requests_.contains(words) || requests_.size() < kMostRequests) {
    RequestCount& request = requests_[words];
    ++request.asked;
    if (!conversation.answers.empty()) ++request.answered;
  }
}

void UnitReports::Add(const Conversation& conversation) {
  Count(conversation);
  asked_.insert(conversation.request.address);
  for (const UnitAnswer& answer : conversation.answers) AddAnswer(conversation, answer);
}

void UnitReports::AddAnswer(const Conversation& conversation, const UnitAnswer& answer) {
  UnitReport* unit = UnitOf(answer);
  if (unit == nullptr) return;
  const std::string words = DescribeRequest(conversation.request.bytes);
  if (answer.pending > kManyPending) {
    NoteOddity(*unit, "says \"response pending\" again and again to " + words);
  }
  const bool final_answer =
      answer.kind == AnswerKind::kPositive || answer.kind == AnswerKind::kRefused;
  if (answer.pending > 0 && final_answer) {
    ++unit->pending_resolved;
    ++counts_.pending_resolved;
  }
  switch (answer.kind) {
    case AnswerKind::kPositive:
      ++unit->positive;
      return AddPositive(*unit, conversation.request.bytes, answer.message);
    case AnswerKind::kRefused:
      ++unit->refused;
      return AddRefusal(*unit, words, answer.refusal());
    case AnswerKind::kPending:
      ++unit->pending_open;
      ++counts_.pending_open;
      return;
    case AnswerKind::kBroken:
      ++unit->broken;
      return NoteOddity(*unit, "an answer to " + words + " broke off after " +
                                   CountOf(answer.message.bytes.size(), "byte") + " of " +
                                   FormatCount(answer.message.announced) + ": " +
                                   std::string(TransferProblemText(answer.message.problem)));
  }
}

void UnitReports::AddPositive(UnitReport& unit, ByteSpan request, const SeenMessage& message) {
  const ByteSpan answer = message.bytes;
  Status status;
  switch (answer[0] - kAnswerBit) {
    case kCodeInformation:
      status = AddCodeInformation(unit, answer, message.ended);
      break;
    case kStoredCodes:
    case kPendingCodes:
    case kPermanentCodes:
      status = AddObdCodes(unit, answer, message.ended);
      break;
    case kReadByIdentifier:
      status = AddIdentifiers(unit, request, answer);
      break;
    case kCurrentData:
      status = AddCurrentData(unit, answer);
      break;
    case kVehicleInformation:
      status = AddVehicleInformation(unit, answer);
      break;
    default:
      break;
  }
  if (!status.ok()) NoteOddity(unit, status.message());
}

namespace {

// SAE J1979 lists a code without its failure type: the same fault, when the unit reports it with
// one by ISO 14229-1, too.
void MergeWithFailureTypes(std::map<TroubleCode, ReportedCode>& codes) {
  for (auto plain = codes.begin(); plain != codes.end();) {
    bool merged = false;
    for (auto& [code, typed] : codes) {
      if (plain->first.failure_type || !code.failure_type || code.code != plain->first.code)
        continue;
      merged = true;
      typed.stored |= plain->second.stored;
      typed.pending |= plain->second.pending;
      typed.permanent |= plain->second.permanent;
      typed.first_seen = std::min(typed.first_seen, plain->second.first_seen);
      typed.last_seen = std::max(typed.last_seen, plain->second.last_seen);
    }
    plain = merged ? codes.erase(plain) : std::next(plain);
  }
}

}  // namespace

std::vector<UnitReport> UnitReports::units() const {
  std::vector<UnitReport> units;
  for (const auto& [key, unit] : units_) {
    units.push_back(unit);
    MergeWithFailureTypes(units.back().codes);
  }
  return units;
}

std::vector<std::string> UnitReports::silent() const {
  std::vector<std::string> names;
  for (const NamedUnit& named : names_) {
    const bool answered = std::any_of(units_.begin(), units_.end(), [&](const auto& entry) {
      return entry.first.second == named.address.answer;
    });
    if (!answered && asked_.contains(named.address.request)) names.push_back(named.name);
  }
  return names;
}

}  // namespace proofdrive::decoders
