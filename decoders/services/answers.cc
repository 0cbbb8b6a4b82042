#include "decoders/services/answers.h"

#include <algorithm>

#include "core/base/text.h"
#include "decoders/services/service_names.h"

namespace proofdrive::decoders {
namespace {

constexpr std::size_t kCodeBytes = 3;  // of ISO 14229-1: code and failure type

Status Malformed(ByteSpan answer, std::string_view expected) {
  return Status(ErrorKind::kCorrupt,
                "the answer " +
                    HexBytes(answer.subspan(0, std::min<std::size_t>(answer.size(), 16))) +
                    (answer.size() > 16 ? " ..." : "") + " is no " + std::string(expected));
}

bool BeginsWith(ByteSpan answer, std::uint8_t service, std::optional<CodeReport> report = {}) {
  if (answer.empty() || answer[0] != service + kAnswerBit) return false;
  return !report || (answer.size() > 1 && answer[1] == static_cast<std::uint8_t>(*report));
}

TroubleCode ReadCode(ByteReader& reader) {
  TroubleCode code;
  code.code = reader.Get<std::uint16_t>();
  code.failure_type = reader.Get<std::uint8_t>();
  return code;
}

std::vector<std::uint8_t> Rest(ByteReader& reader) {
  const ByteSpan rest = reader.GetBytes(reader.remaining());
  return {rest.begin(), rest.end()};
}

}  // namespace

Result<CodeList> ParseCodeList(ByteSpan answer) {
  const bool list = BeginsWith(answer, kCodeInformation, CodeReport::kByMask) ||
                    BeginsWith(answer, kCodeInformation, CodeReport::kSupported);
  if (!list || answer.size() < 3) return Malformed(answer, "list of trouble codes");
  CodeList codes;
  codes.available = answer[2];
  ByteReader reader(answer.subspan(3), ByteOrder::kBig);
  while (reader.remaining() > kCodeBytes) {
    const TroubleCode code = ReadCode(reader);
    codes.codes.push_back({code, reader.Get<std::uint8_t>()});
  }
  codes.bytes_left_over = reader.remaining();
  return codes;
}

Result<CodeCount> ParseCodeCount(ByteSpan answer) {
  if (!BeginsWith(answer, kCodeInformation, CodeReport::kCount) || answer.size() < 6) {
    return Malformed(answer, "number of trouble codes");
  }
  ByteReader reader(answer.subspan(2), ByteOrder::kBig);
  CodeCount count;
  count.available = reader.Get<std::uint8_t>();
  count.format = reader.Get<std::uint8_t>();
  count.count = reader.Get<std::uint16_t>();
  return count;
}

Result<std::vector<SnapshotId>> ParseSnapshotIds(ByteSpan answer) {
  if (!BeginsWith(answer, kCodeInformation, CodeReport::kSnapshotIds) ||
      (answer.size() - 2) % (kCodeBytes + 1) != 0) {
    return Malformed(answer, "list of snapshots");
  }
  std::vector<SnapshotId> ids;
  ByteReader reader(answer.subspan(2), ByteOrder::kBig);
  while (reader.remaining() > 0) {
    const TroubleCode code = ReadCode(reader);
    ids.push_back({code, reader.Get<std::uint8_t>()});
  }
  return ids;
}

Result<CodeRecord> ParseCodeRecord(ByteSpan answer) {
  const bool known = BeginsWith(answer, kCodeInformation, CodeReport::kSnapshot) ||
                     BeginsWith(answer, kCodeInformation, CodeReport::kExtendedData);
  if (!known || answer.size() < 6) return Malformed(answer, "record of a trouble code");
  ByteReader reader(answer.subspan(2), ByteOrder::kBig);
  CodeRecord record;
  record.code = ReadCode(reader);
  record.status = reader.Get<std::uint8_t>();
  if (reader.remaining() > 0) record.record = reader.Get<std::uint8_t>();
  record.data = Rest(reader);
  return record;
}

namespace {

// Where `identifier` stands in `data` from `from` on: the only place, else nullopt.
std::optional<std::size_t> OnlyPlace(ByteSpan data, std::size_t from, std::uint16_t identifier) {
  const std::uint8_t bytes[] = {static_cast<std::uint8_t>(identifier >> 8),
                                static_cast<std::uint8_t>(identifier & 0xFF)};
  const auto begin = data.begin() + static_cast<std::ptrdiff_t>(std::min(from, data.size()));
  const auto found = std::search(begin, data.end(), std::begin(bytes), std::end(bytes));
  if (found == data.end()) return std::nullopt;
  if (std::search(found + 1, data.end(), std::begin(bytes), std::end(bytes)) != data.end()) {
    return std::nullopt;
  }
  return static_cast<std::size_t>(found - data.begin());
}

std::vector<std::uint8_t> Copy(ByteSpan bytes) { return {bytes.begin(), bytes.end()}; }

}  // namespace

Result<IdentifierValues> ParseIdentifierValues(ByteSpan request, ByteSpan answer) {
  if (!BeginsWith(answer, kReadByIdentifier) || answer.size() < 3) {
    return Malformed(answer, "value of an identifier");
  }
  IdentifierValues values;
  ByteReader asked(request.empty() ? request : request.subspan(1), ByteOrder::kBig);
  ByteReader reader(answer.subspan(1), ByteOrder::kBig);
  std::uint16_t current = reader.Get<std::uint16_t>();
  const ByteSpan data = answer.subspan(3);
  std::size_t begin = 0;
  bool first = true;
  while (asked.remaining() >= 2) {
    const auto next = asked.Get<std::uint16_t>();
    if (first && next == current) {
      first = false;
      continue;
    }
    first = false;
    const auto place = OnlyPlace(data, begin, next);
    if (!place) {
      values.told_apart = false;
      break;
    }
    values.values.push_back({current, Copy(data.subspan(begin, *place - begin))});
    current = next;
    begin = *place + 2;
  }
  values.values.push_back({current, Copy(data.subspan(begin))});
  return values;
}

Result<SessionTimes> ParseSessionTimes(ByteSpan answer) {
  if (!BeginsWith(answer, kSessionControl) || answer.size() < 6) {
    return Malformed(answer, "answer to DiagnosticSessionControl with its times");
  }
  ByteReader reader(answer.subspan(1), ByteOrder::kBig);
  SessionTimes times;
  times.session = reader.Get<std::uint8_t>();
  times.p2 = std::chrono::milliseconds(reader.Get<std::uint16_t>());
  times.p2_star = std::chrono::milliseconds(10) * reader.Get<std::uint16_t>();
  return times;
}

Result<ObdCodeList> ParseObdCodes(ByteSpan answer) {
  const bool list = BeginsWith(answer, kStoredCodes) || BeginsWith(answer, kPendingCodes) ||
                    BeginsWith(answer, kPermanentCodes);
  if (!list || answer.size() < 2) return Malformed(answer, "list of trouble codes");
  ObdCodeList list_of_codes;
  list_of_codes.stated = answer[1];
  ByteReader reader(answer.subspan(2), ByteOrder::kBig);
  while (reader.remaining() >= 2) {
    list_of_codes.codes.push_back({reader.Get<std::uint16_t>(), std::nullopt});
  }
  list_of_codes.bytes_left_over = reader.remaining();
  return list_of_codes;
}

namespace {

// Byte B: bit n supported, bit n + 4 not complete. Bytes C and D: bit n supported, not complete.
constexpr std::string_view kContinuous[] = {"misfire", "fuel system", "components"};
constexpr std::string_view kSpark[8] = {"catalyst",
                                        "heated catalyst",
                                        "evaporative system",
                                        "secondary air",
                                        "A/C refrigerant or particulate filter",
                                        "oxygen sensor",
                                        "oxygen sensor heater",
                                        "EGR or VVT"};
constexpr std::string_view kCompression[8] = {
    "NMHC catalyst",      "NOx aftertreatment", "",          "boost pressure", "",
    "exhaust gas sensor", "particulate filter", "EGR or VVT"};

}  // namespace

bool MonitorStatus::ready() const {
  return std::all_of(monitors.begin(), monitors.end(),
                     [](const Monitor& monitor) { return monitor.complete; });
}

Result<MonitorStatus> ParseMonitorStatus(ByteSpan answer) {
  if (!BeginsWith(answer, kCurrentData) || answer.size() < 6 || answer[1] != 0x01) {
    return Malformed(answer, "monitor status");
  }
  const std::uint8_t a = answer[2];
  const std::uint8_t b = answer[3];
  MonitorStatus status;
  status.lamp = (a & 0x80) != 0;
  status.stored = a & 0x7F;
  status.compression_ignition = (b & 0x08) != 0;
  for (unsigned bit = 0; bit < 3; ++bit) {
    if (b >> bit & 1) status.monitors.push_back({kContinuous[bit], (b >> (bit + 4) & 1) == 0});
  }
  const auto& names = status.compression_ignition ? kCompression : kSpark;
  for (unsigned bit = 0; bit < 8; ++bit) {
    if ((answer[4] >> bit & 1) == 0) continue;
    const std::string_view name = names[bit].empty() ? "reserved" : names[bit];
    status.monitors.push_back({name, (answer[5] >> bit & 1) == 0});
  }
  return status;
}

Result<std::vector<std::uint8_t>> ParseSupported(ByteSpan answer) {
  const bool known = BeginsWith(answer, kCurrentData) || BeginsWith(answer, kVehicleInformation);
  if (!known || answer.size() < 6 || answer[1] % 0x20 != 0) {
    return Malformed(answer, "list of supported numbers");
  }
  ByteReader reader(answer.subspan(2), ByteOrder::kBig);
  const auto mask = reader.Get<std::uint32_t>();
  std::vector<std::uint8_t> supported;
  for (unsigned bit = 0; bit < 32; ++bit) {
    if (mask >> (31 - bit) & 1) supported.push_back(static_cast<std::uint8_t>(answer[1] + bit + 1));
  }
  return supported;
}

Result<VehicleInformation> ParseVehicleInformation(ByteSpan answer) {
  if (!BeginsWith(answer, kVehicleInformation) || answer.size() < 3) {
    return Malformed(answer, "vehicle information");
  }
  ByteReader reader(answer.subspan(1));
  VehicleInformation information;
  information.type = reader.Get<std::uint8_t>();
  information.items = reader.Get<std::uint8_t>();
  information.data = Rest(reader);
  return information;
}

std::string_view InformationTypeName(std::uint8_t type) {
  switch (type) {
    case kVinInformation:
      return "VIN";
    case 0x04:
      return "calibration identifications";
    case 0x06:
      return "calibration verification numbers";
    case 0x08:
      return "in-use performance tracking";
    case 0x0A:
      return "name of the control unit";
    default:
      return {};
  }
}

}  // namespace proofdrive::decoders
