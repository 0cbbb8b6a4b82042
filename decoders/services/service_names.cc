#include "decoders/services/service_names.h"

#include <algorithm>
#include <array>
#include <vector>

#include "core/base/text.h"

namespace proofdrive::decoders {
namespace {

constexpr std::string_view kUds = "ISO 14229-1";
constexpr std::string_view kObd = "SAE J1979";
constexpr std::string_view kKeyword = "ISO 14230-3, from memory";

constexpr ServiceInfo kServices[] = {
    {0x01, "current data", kObd, false},
    {0x02, "freeze frame data", kObd, false},
    {0x03, "confirmed trouble codes", kObd, false},
    {0x04, "clear emission-related information", kObd, false},
    {0x06, "monitoring test results", kObd, false},
    {0x07, "pending trouble codes", kObd, false},
    {0x08, "control of an on-board system", kObd, false},
    {0x09, "vehicle information", kObd, false},
    {0x0A, "permanent trouble codes", kObd, false},
    {0x10, "DiagnosticSessionControl", kUds, true},
    {0x11, "ECUReset", kUds, true},
    {0x14, "ClearDiagnosticInformation", kUds, false},
    {0x18, "readDiagnosticTroubleCodesByStatus", kKeyword, false},
    {0x19, "ReadDTCInformation", kUds, true},
    {0x20, "stopDiagnosticSession", kKeyword, false},
    {0x21, "readDataByLocalIdentifier", kKeyword, false},
    {0x22, "ReadDataByIdentifier", kUds, false},
    {0x23, "ReadMemoryByAddress", kUds, false},
    {0x24, "ReadScalingDataByIdentifier", kUds, false},
    {0x27, "SecurityAccess", kUds, true},
    {0x28, "CommunicationControl", kUds, true},
    {0x2A, "ReadDataByPeriodicIdentifier", kUds, false},
    {0x2C, "DynamicallyDefineDataIdentifier", kUds, true},
    {0x2E, "WriteDataByIdentifier", kUds, false},
    {0x2F, "InputOutputControlByIdentifier", kUds, false},
    {0x31, "RoutineControl", kUds, true},
    {0x34, "RequestDownload", kUds, false},
    {0x35, "RequestUpload", kUds, false},
    {0x36, "TransferData", kUds, false},
    {0x37, "RequestTransferExit", kUds, false},
    {0x3D, "WriteMemoryByAddress", kUds, false},
    {0x3E, "TesterPresent", kUds, true},
    {0x85, "ControlDTCSetting", kUds, true},
    {0x86, "ResponseOnEvent", kUds, true},
    {0x87, "LinkControl", kUds, true},
};

// ISO 14229-1 Annex A; names as in a second implementation's table, meanings from memory.
constexpr RefusalInfo kRefusals[] = {
    {0x10, "generalReject", "the unit refuses without a reason"},
    {0x11, "serviceNotSupported", "the unit does not offer this service"},
    {0x12, "subFunctionNotSupported", "the unit does not offer this kind of request"},
    {0x13, "incorrectMessageLengthOrInvalidFormat", "the unit finds the request malformed"},
    {0x14, "responseTooLong", "the answer would be too long"},
    {0x21, "busyRepeatRequest", "the unit is busy: ask again"},
    {0x22, "conditionsNotCorrect", "the conditions for this are not met"},
    {0x24, "requestSequenceError", "something else must be asked first"},
    {0x25, "noResponseFromSubnetComponent", "a unit behind this one does not answer"},
    {0x26, "failurePreventsExecutionOfRequestedAction", "a fault prevents it"},
    {0x31, "requestOutOfRange", "the unit does not have what was asked for"},
    {0x33, "securityAccessDenied", "the unit is locked"},
    {0x35, "invalidKey", "the key is wrong"},
    {0x36, "exceedNumberOfAttempts", "too many wrong keys"},
    {0x37, "requiredTimeDelayNotExpired", "the unit makes us wait before the next key"},
    {0x70, "uploadDownloadNotAccepted", "the unit does not accept the transfer"},
    {0x71, "transferDataSuspended", "the transfer was broken off"},
    {0x72, "generalProgrammingFailure", "writing its memory failed"},
    {0x73, "wrongBlockSequenceCounter", "a block is out of order"},
    {0x78, "requestCorrectlyReceived-ResponsePending", "the answer comes later"},
    {0x7E, "subFunctionNotSupportedInActiveSession",
     "the unit does not offer this kind of request in this diagnostic session"},
    {0x7F, "serviceNotSupportedInActiveSession",
     "the unit does not offer this service in this diagnostic session"},
    {0x81, "rpmTooHigh", "the speed of rotation is too high"},
    {0x82, "rpmTooLow", "the speed of rotation is too low"},
    {0x83, "engineIsRunning", "the engine is running"},
    {0x84, "engineIsNotRunning", "the engine is not running"},
    {0x85, "engineRunTimeTooLow", "the engine has not run for long enough"},
    {0x86, "temperatureTooHigh", "a temperature is too high"},
    {0x87, "temperatureTooLow", "a temperature is too low"},
    {0x88, "vehicleSpeedTooHigh", "the vehicle is too fast"},
    {0x89, "vehicleSpeedTooLow", "the vehicle is too slow"},
    {0x8A, "throttle/PedalTooHigh", "the pedal is pressed too far"},
    {0x8B, "throttle/PedalTooLow", "the pedal is not pressed far enough"},
    {0x8C, "transmissionRangeNotInNeutral", "the selector is not in neutral"},
    {0x8D, "transmissionRangeNotInGear", "no gear is selected"},
    {0x8F, "brakeSwitch(es)NotClosed", "the brake is not pressed"},
    {0x90, "shifterLeverNotInPark", "the selector is not in park"},
    {0x91, "torqueConverterClutchLocked", "the torque converter clutch is locked"},
    {0x92, "voltageTooHigh", "the voltage is too high"},
    {0x93, "voltageTooLow", "the voltage is too low"},
};

// ISO 14229-1 Annex C.1, from F180 up.
constexpr std::array<std::string_view, 32> kIdentifiers = {
    "bootSoftwareIdentification",
    "applicationSoftwareIdentification",
    "applicationDataIdentification",
    "bootSoftwareFingerprint",
    "applicationSoftwareFingerprint",
    "applicationDataFingerprint",
    "activeDiagnosticSession",
    "vehicleManufacturerSparePartNumber",
    "vehicleManufacturerECUSoftwareNumber",
    "vehicleManufacturerECUSoftwareVersionNumber",
    "systemSupplierIdentifier",
    "ECUManufacturingDate",
    "ECUSerialNumber",
    "supportedFunctionalUnits",
    "vehicleManufacturerKitAssemblyPartNumber",
    "regulationXSoftwareIdentificationNumbers",
    "VIN",
    "vehicleManufacturerECUHardwareNumber",
    "systemSupplierECUHardwareNumber",
    "systemSupplierECUHardwareVersionNumber",
    "systemSupplierECUSoftwareNumber",
    "systemSupplierECUSoftwareVersionNumber",
    "exhaustRegulationOrTypeApprovalNumber",
    "systemNameOrEngineType",
    "repairShopCodeOrTesterSerialNumber",
    "programmingDate",
    "calibrationRepairShopCodeOrCalibrationEquipmentSerialNumber",
    "calibrationDate",
    "calibrationEquipmentSoftwareNumber",
    "ECUInstallationDate",
    "ODXFile",
    "entity",
};

}  // namespace

const ServiceInfo* FindService(std::uint8_t id) {
  const auto* found = std::find_if(std::begin(kServices), std::end(kServices),
                                   [&](const ServiceInfo& info) { return info.id == id; });
  return found == std::end(kServices) ? nullptr : found;
}

std::string DescribeRequest(ByteSpan request) {
  if (request.empty()) return "nothing";
  const ServiceInfo* info = FindService(request[0]);
  std::string text =
      info != nullptr ? std::string(info->name) : "service " + HexBytes(request.subspan(0, 1), "");
  ByteSpan rest = request.subspan(1);
  if (request[0] != kReadByIdentifier) {
    return rest.empty()
               ? text
               : text + " " + HexBytes(rest.subspan(0, std::min<std::size_t>(rest.size(), 8)));
  }
  for (std::size_t shown = 0; rest.size() >= 2 && shown < 8; rest = rest.subspan(2), ++shown) {
    text += " " + HexBytes(rest.subspan(0, 2), "");
  }
  return text;
}

const RefusalInfo* FindRefusal(std::uint8_t code) {
  const auto* found = std::find_if(std::begin(kRefusals), std::end(kRefusals),
                                   [&](const RefusalInfo& info) { return info.code == code; });
  return found == std::end(kRefusals) ? nullptr : found;
}

std::string DescribeRefusal(std::uint8_t code) {
  const std::uint8_t byte[] = {code};
  const RefusalInfo* info = FindRefusal(code);
  if (info == nullptr)
    return "the unit refuses (" + HexBytes(byte) + ", not named by the standard)";
  return std::string(info->words) + " (" + HexBytes(byte) + " " + std::string(info->name) + ")";
}

std::string_view IdentifierName(std::uint16_t identifier) {
  if (identifier < kFirstIdentification || identifier > kLastIdentification) return {};
  return kIdentifiers[identifier - kFirstIdentification];
}

std::string IdentifierWords(std::uint16_t identifier) {
  const auto upper = [](char c) { return c >= 'A' && c <= 'Z'; };
  const std::string_view name = IdentifierName(identifier);
  std::vector<std::string> words;
  for (std::size_t i = 0; i < name.size(); ++i) {
    const bool before_lower = i + 1 < name.size() && !upper(name[i + 1]);
    // In "ECUSoftware" the S begins a word: a small letter follows it.
    const bool begins = i == 0 || (upper(name[i]) && (!upper(name[i - 1]) || before_lower));
    if (begins) words.emplace_back();
    words.back() += name[i];
  }
  for (std::string& word : words) {
    const bool abbreviation = word.size() < 2 || upper(word[1]);
    if (upper(word[0]) && !abbreviation) word[0] = static_cast<char>(word[0] - 'A' + 'a');
  }
  return Join(words, " ");
}

std::string MaskedVin(std::string_view vin) {
  constexpr std::size_t kShownFirst = 3;  // the maker
  constexpr std::size_t kShownLast = 2;
  std::string masked(vin);
  const bool short_text = vin.size() <= kShownFirst + kShownLast + 4;
  for (std::size_t i = 0; i < masked.size(); ++i) {
    if (short_text || (i >= kShownFirst && i + kShownLast < masked.size())) masked[i] = '*';
  }
  return masked;
}

std::optional<std::string> TextOfData(ByteSpan data) {
  while (!data.empty() && data.back() == 0) data = data.subspan(0, data.size() - 1);
  if (data.empty()) return std::nullopt;
  for (const std::uint8_t byte : data) {
    if (byte < 0x20 || byte > 0x7E) return std::nullopt;
  }
  return std::string(Trim(std::string(data.begin(), data.end())));
}

}  // namespace proofdrive::decoders
