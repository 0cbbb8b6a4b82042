#include "bench/control_units/unit_server.h"

#include <algorithm>
#include <cstdio>

#include "decoders/services/answers.h"
#include "decoders/services/service_names.h"

namespace proofdrive::bench {
namespace {

using Bytes = UnitServer::Bytes;
using decoders::CodeReport;
using decoders::StatusBit;

// All but the lamp bit for units without one would be possible; the bench's units support all.
constexpr std::uint8_t kAvailable = 0xFF;
constexpr std::uint8_t kFormat = 0x01;  // of codes: ISO 14229-1
constexpr std::uint8_t kNoService = 0x11;
constexpr std::uint8_t kNoSubFunction = 0x12;
constexpr std::uint8_t kWrongLength = 0x13;
constexpr std::uint8_t kOutOfRange = 0x31;
constexpr std::uint16_t kIsolationReading = 0xD1A4;  // invented
constexpr std::uint8_t kRecord = 0x01;
constexpr std::uint8_t kAllRecords = 0xFF;

Bytes Refuse(ByteSpan request, std::uint8_t code) {
  return {decoders::kNegativeResponse, request[0], code};
}

Bytes Text(std::string_view text) { return {text.begin(), text.end()}; }

Bytes VersionText(const Version& version) {
  char text[16];
  std::snprintf(text, sizeof(text), "%u.%u", version.major, version.minor);
  return Text(text);
}

const Version& SoftwareOf(std::string_view unit, const Scenario& scenario) {
  if (unit == "inverter") return scenario.inverter_software;
  if (unit == "cluster") return scenario.cluster_software;
  return scenario.pack_software;
}

void AppendCode(Bytes& bytes, const decoders::TroubleCode& code) {
  bytes.push_back(static_cast<std::uint8_t>(code.code >> 8));
  bytes.push_back(static_cast<std::uint8_t>(code.code & 0xFF));
  bytes.push_back(code.failure_type.value_or(0));
}

decoders::TroubleCode CodeAt(ByteSpan request, std::size_t at) {
  return {static_cast<std::uint16_t>(request[at] << 8 | request[at + 1]), request[at + 2]};
}

bool StaysSilent(ByteSpan answer) {
  if (answer.size() != 3 || answer[0] != decoders::kNegativeResponse) return false;
  return answer[2] == kNoService || answer[2] == kNoSubFunction || answer[2] == kOutOfRange ||
         answer[2] == 0x7E || answer[2] == 0x7F;
}

bool PositiveSuppressed(ByteSpan request) {
  const decoders::ServiceInfo* info = decoders::FindService(request[0]);
  return info != nullptr && info->has_sub_function && request.size() > 1 &&
         (request[1] & decoders::kSuppressPositive) != 0;
}

}  // namespace

UnitServer::UnitServer(std::string_view unit, const Scenario& scenario)
    : unit_(unit), faults_(unit, scenario) {
  identifiers_[0xF187] = Text("BRAMBLE-INVENTED");
  identifiers_[0xF18C] = Text("INV-" + std::string(unit));
  identifiers_[0xF190] = Text("TESTVEH0123456789");  // invented
  identifiers_[0xF191] = Text("H1");
  identifiers_[0xF195] = VersionText(SoftwareOf(unit, scenario));
}

void UnitServer::Observe(const Car& car) {
  faults_.Observe(car);
  const double kohm = car.insulation().reported_ohm() / 1000;
  isolation_kohm_ = car.insulation().monitor_ready()
                        ? static_cast<std::uint16_t>(std::min(kohm, 65000.0))
                        : std::uint16_t{0xFFFF};
}

Bytes UnitServer::Answer(ByteSpan request, bool functional) {
  if (request.empty()) return {};
  Bytes answer = AnswerAlways(request);
  const bool negative = !answer.empty() && answer[0] == decoders::kNegativeResponse;
  if (functional && StaysSilent(answer)) return {};
  if (!negative && PositiveSuppressed(request)) return {};
  return answer;
}

Bytes UnitServer::AnswerAlways(ByteSpan request) {
  switch (request[0]) {
    case decoders::kSessionControl:
      return Session(request);
    case decoders::kTesterPresent:
      return Present(request);
    case decoders::kCodeInformation:
      return Codes(request);
    case decoders::kClearInformation:
      return Clear(request);
    case decoders::kReadByIdentifier:
      return Read(request);
    case decoders::kCurrentData:
      return CurrentData(request);
    case decoders::kStoredCodes:
    case decoders::kPendingCodes:
    case decoders::kPermanentCodes:
      return ObdCodes(request[0]);
    default:
      return Refuse(request, kNoService);
  }
}

Bytes UnitServer::Session(ByteSpan request) {
  if (request.size() != 2) return Refuse(request, kWrongLength);
  const std::uint8_t session = request[1] & 0x7F;
  if (session != 1 && session != 3) return Refuse(request, kNoSubFunction);
  session_ = session;
  return {0x50, session, 0x00, 0x32, 0x01, 0xF4};  // 50 ms, 5000 ms
}

Bytes UnitServer::Present(ByteSpan request) {
  if (request.size() != 2) return Refuse(request, kWrongLength);
  if ((request[1] & 0x7F) != 0) return Refuse(request, kNoSubFunction);
  return {0x7E, 0x00};
}

Bytes UnitServer::Codes(ByteSpan request) {
  if (request.size() < 2) return Refuse(request, kWrongLength);
  const std::uint8_t report = request[1] & 0x7F;
  switch (static_cast<CodeReport>(report)) {
    case CodeReport::kCount:
    case CodeReport::kByMask:
      if (request.size() != 3) return Refuse(request, kWrongLength);
      return CodesByMask(report, request[2]);
    case CodeReport::kSupported:
      if (request.size() != 2) return Refuse(request, kWrongLength);
      return CodesByMask(report, 0);
    case CodeReport::kSnapshotIds:
      return SnapshotIds();
    case CodeReport::kSnapshot:
      return Snapshot(request);
    case CodeReport::kExtendedData:
      return ExtendedData(request);
  }
  return Refuse(request, kNoSubFunction);
}

// A code matches when status & mask & availability is not 0 (ISO 14229-1 cl. 11.3.1.3).
Bytes UnitServer::CodesByMask(std::uint8_t report, std::uint8_t mask) const {
  const bool all = report == static_cast<std::uint8_t>(CodeReport::kSupported);
  Bytes list;
  std::uint16_t count = 0;
  for (const FaultEntry& entry : faults_.entries()) {
    const std::uint8_t status = entry.memory.status();
    if (!all && (status & mask & kAvailable) == 0) continue;
    ++count;
    AppendCode(list, entry.row->code);
    list.push_back(status);
  }
  if (report == static_cast<std::uint8_t>(CodeReport::kCount)) {
    return {0x59,
            report,
            kAvailable,
            kFormat,
            static_cast<std::uint8_t>(count >> 8),
            static_cast<std::uint8_t>(count & 0xFF)};
  }
  Bytes answer = {0x59, report, kAvailable};
  answer.insert(answer.end(), list.begin(), list.end());
  return answer;
}

Bytes UnitServer::SnapshotIds() const {
  Bytes answer = {0x59, 0x03};
  for (const FaultEntry& entry : faults_.entries()) {
    if (!entry.frozen.taken) continue;
    AppendCode(answer, entry.row->code);
    answer.push_back(kRecord);
  }
  return answer;
}

// Record 01 holds three invented identifiers: pack voltage, charge, time.
Bytes UnitServer::Snapshot(ByteSpan request) const {
  if (request.size() != 6) return Refuse(request, kWrongLength);
  const FaultEntry* entry = faults_.Find(CodeAt(request, 2));
  if (entry == nullptr) return Refuse(request, kOutOfRange);
  if (request[5] != kRecord && request[5] != kAllRecords) return Refuse(request, kOutOfRange);
  Bytes answer = {0x59, 0x04};
  AppendCode(answer, entry->row->code);
  answer.push_back(entry->memory.status());
  if (!entry->frozen.taken) return answer;
  const FrozenConditions& frozen = entry->frozen;
  ByteWriter writer(answer, ByteOrder::kBig);
  writer.Put(kRecord);
  writer.Put(std::uint8_t{3});
  writer.Put(std::uint16_t{0xD101});
  writer.Put(frozen.pack_decivolt);
  writer.Put(std::uint16_t{0xD102});
  writer.Put(frozen.charge_percent);
  writer.Put(std::uint16_t{0xD103});
  writer.Put(frozen.seconds);
  return answer;
}

// Record 01: operation cycles with a failure; record 02: clean cycles since.
Bytes UnitServer::ExtendedData(ByteSpan request) const {
  if (request.size() != 6) return Refuse(request, kWrongLength);
  const FaultEntry* entry = faults_.Find(CodeAt(request, 2));
  const std::uint8_t wanted = request[5];
  const bool exists = wanted == kAllRecords || wanted == 0xFE || wanted == 1 || wanted == 2;
  if (entry == nullptr || !exists) return Refuse(request, kOutOfRange);
  Bytes answer = {0x59, 0x06};
  AppendCode(answer, entry->row->code);
  answer.push_back(entry->memory.status());
  if (wanted != 2) answer.insert(answer.end(), {1, entry->memory.occurrences()});
  if (wanted != 1) answer.insert(answer.end(), {2, entry->memory.aging()});
  return answer;
}

Bytes UnitServer::Clear(ByteSpan request) {
  if (request.size() != 4) return Refuse(request, kWrongLength);
  const decoders::TroubleCode group = CodeAt(request, 1);
  const bool emissions = group.code == 0xFFFF && group.failure_type == 0x33;
  const bool all = group.code == 0xFFFF && group.failure_type == 0xFF;
  if (all || emissions) {
    faults_.ClearAll();
  } else if (!faults_.Clear(group)) {
    return Refuse(request, kOutOfRange);
  }
  return {0x54};
}

Bytes UnitServer::Read(ByteSpan request) const {
  if (request.size() < 3 || request.size() % 2 != 1) return Refuse(request, kWrongLength);
  Bytes answer = {0x62};
  for (std::size_t at = 1; at < request.size(); at += 2) {
    const auto identifier = static_cast<std::uint16_t>(request[at] << 8 | request[at + 1]);
    Bytes value;
    const auto known = identifiers_.find(identifier);
    if (known != identifiers_.end()) {
      value = known->second;
    } else if (identifier == decoders::kFirstIdentification + 6) {
      value = {session_};
    } else if (identifier == kIsolationReading && unit_ == "pack_controller") {
      ByteWriter(value, ByteOrder::kBig).Put(isolation_kohm_);
    } else {
      continue;
    }
    answer.insert(answer.end(), {request[at], request[at + 1]});
    answer.insert(answer.end(), value.begin(), value.end());
  }
  return answer.size() == 1 ? Refuse(request, kOutOfRange) : answer;
}

Bytes UnitServer::CurrentData(ByteSpan request) const {
  if (request.size() != 2) return Refuse(request, kWrongLength);
  if (request[1] == 0x00) return {0x41, 0x00, 0x80, 0x00, 0x00, 0x00};  // PID 01 alone
  if (request[1] != 0x01) return Refuse(request, kOutOfRange);
  std::uint8_t count = 0;
  bool lamp = false;
  bool complete = true;
  for (const FaultEntry& entry : faults_.entries()) {
    const std::uint8_t status = entry.memory.status();
    if (status & StatusBit::kConfirmed) ++count;
    if (status & StatusBit::kIndicatorRequested) lamp = true;
    if (status & StatusBit::kNotCompletedSinceClear) complete = false;
  }
  const auto a = static_cast<std::uint8_t>(count | (lamp ? 0x80 : 0));
  return {0x41, 0x01, a, static_cast<std::uint8_t>(complete ? 0x04 : 0x44), 0x00, 0x00};
}

Bytes UnitServer::ObdCodes(std::uint8_t service) const {
  const std::uint8_t bit =
      service == decoders::kPendingCodes ? StatusBit::kPending : StatusBit::kConfirmed;
  Bytes answer = {static_cast<std::uint8_t>(service + decoders::kAnswerBit), 0};
  for (const FaultEntry& entry : faults_.entries()) {
    const std::uint8_t status = entry.memory.status();
    const bool permanent = service == decoders::kPermanentCodes;
    if ((status & bit) == 0) continue;
    if (permanent && (status & StatusBit::kIndicatorRequested) == 0) continue;
    answer.push_back(static_cast<std::uint8_t>(entry.row->code.code >> 8));
    answer.push_back(static_cast<std::uint8_t>(entry.row->code.code & 0xFF));
    ++answer[1];
  }
  return answer;
}

}  // namespace proofdrive::bench
