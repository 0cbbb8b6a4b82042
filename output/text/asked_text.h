// Trouble codes, readiness and identification of control units, for people and as JSON.
#pragma once

#include <string>

#include "analysis/asking/asked.h"

namespace proofdrive::output {

// For people; ends in a newline. `asked` as the session has it.
std::string FormatCodes(const analysis::AskedUnits& asked, const std::string& path);
// `show_vin`: the vehicle identification number in full, else masked.
std::string FormatIdentification(const analysis::AskedUnits& asked, const std::string& path,
                                 bool show_vin);

// {"session", "conversations", "requests", "units": [...]}, indented, ending in a newline.
std::string CodesJson(const analysis::AskedUnits& asked, const std::string& path);
std::string IdentificationJson(const analysis::AskedUnits& asked, const std::string& path,
                               bool show_vin);

// "pack_controller", or "unit at 7EC" for one that was discovered.
std::string UnitLabel(const decoders::UnitReport& unit);
// "P0AA6-1A high-voltage system isolation fault (title from memory), circuit resistance below
// threshold".
std::string DescribeCode(const decoders::TroubleCode& code);
// "failed at its last test; pending; ..." and the J1979 lists it is in. Empty: none.
std::string DescribeState(const decoders::ReportedCode& code);
// An identifier's value: its text, else its bytes; VIN masked unless `show_vin`.
std::string IdentifierText(std::uint16_t identifier, ByteSpan data, bool show_vin);

}  // namespace proofdrive::output
