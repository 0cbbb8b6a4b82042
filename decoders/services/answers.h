// What the answers of control units say: ISO 14229-1 and SAE J1979 messages taken apart. Bytes come
// from a bus and may be anything: a message too short to mean something is kCorrupt; bytes left
// over are counted and nothing is invented from them.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/base/bytes.h"
#include "core/base/result.h"
#include "core/base/time.h"
#include "decoders/services/trouble_code.h"

namespace proofdrive::decoders {

// Sub-functions of ReadDTCInformation (0x19), ISO 14229-1 cl. 11.3.
enum class CodeReport : std::uint8_t {
  kCount = 0x01,        // number of codes by status mask
  kByMask = 0x02,       // codes by status mask
  kSnapshotIds = 0x03,  // which snapshots exist
  kSnapshot = 0x04,     // one code's frozen conditions
  kExtendedData = 0x06,
  kSupported = 0x0A,  // every code the unit can set
};

struct CodeWithStatus {
  TroubleCode code;
  std::uint8_t status = 0;
};

// 59 02, 59 0A.
struct CodeList {
  std::uint8_t available = 0;  // status bits the unit supports
  std::vector<CodeWithStatus> codes;
  std::size_t bytes_left_over = 0;  // at the end, too few for a code
};
Result<CodeList> ParseCodeList(ByteSpan answer);

// 59 01.
struct CodeCount {
  std::uint8_t available = 0;
  std::uint8_t format = 0;  // DTCFormatIdentifier, table 271
  std::uint16_t count = 0;
};
Result<CodeCount> ParseCodeCount(ByteSpan answer);

// 59 03.
struct SnapshotId {
  TroubleCode code;
  std::uint8_t record = 0;
};
Result<std::vector<SnapshotId>> ParseSnapshotIds(ByteSpan answer);

// 59 04, 59 06. How long the data of a record are is the maker's secret, so that only an answer
// with one record can be told apart for sure; `data` are the bytes after the first record number.
struct CodeRecord {
  TroubleCode code;
  std::uint8_t status = 0;
  std::optional<std::uint8_t> record;  // number; nullopt: the unit has no record
  std::vector<std::uint8_t> data;      // of a snapshot: number of identifiers, identifier, value...
};
Result<CodeRecord> ParseCodeRecord(ByteSpan answer);

// 62. The values of the identifiers a request asked for, in their order. Several are told apart
// where each next identifier's two bytes occur once only; else all is kept under the first.
struct IdentifierValue {
  std::uint16_t identifier = 0;
  std::vector<std::uint8_t> data;
};
struct IdentifierValues {
  std::vector<IdentifierValue> values;
  bool told_apart = true;
};
Result<IdentifierValues> ParseIdentifierValues(ByteSpan request, ByteSpan answer);

// 50. Times in which the unit promises to answer (ISO 14229-1 table 29, ISO 14229-2).
struct SessionTimes {
  std::uint8_t session = 0;
  Duration p2{};
  Duration p2_star{};  // after a "response pending"
};
Result<SessionTimes> ParseSessionTimes(ByteSpan answer);

// 43, 47, 4A of SAE J1979 on CAN: a count, then codes of two bytes.
struct ObdCodeList {
  std::vector<TroubleCode> codes;
  std::uint8_t stated = 0;  // the count as sent
  std::size_t bytes_left_over = 0;
  bool count_fits() const { return stated == codes.size() && bytes_left_over == 0; }
};
Result<ObdCodeList> ParseObdCodes(ByteSpan answer);

// 41 01: what the unit watches, and what it has not finished since codes were cleared. The order of
// bytes C and D is from memory.
struct Monitor {
  std::string_view name;
  bool complete = false;
};
struct MonitorStatus {
  bool lamp = false;
  std::uint8_t stored = 0;  // confirmed codes
  bool compression_ignition = false;
  std::vector<Monitor> monitors;  // supported ones
  bool ready() const;             // all are complete
};
Result<MonitorStatus> ParseMonitorStatus(ByteSpan answer);

// 41 00, 41 20, ... and 49 00: the numbers a unit supports; mask of 4 bytes, the most significant
// bit stands for base + 1.
Result<std::vector<std::uint8_t>> ParseSupported(ByteSpan answer);

// 49 xx: information type, number of items, bytes.
struct VehicleInformation {
  std::uint8_t type = 0;
  std::uint8_t items = 0;
  std::vector<std::uint8_t> data;
};
Result<VehicleInformation> ParseVehicleInformation(ByteSpan answer);
inline constexpr std::uint8_t kVinInformation = 0x02;
// "VIN", "calibration identifications", ... (from memory); empty for others.
std::string_view InformationTypeName(std::uint8_t type);

}  // namespace proofdrive::decoders
