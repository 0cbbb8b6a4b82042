// Words for trouble codes and for what control units tell of themselves. Not escaped where not
// said.
#pragma once

#include <cstdint>
#include <string>

#include "core/base/bytes.h"
#include "decoders/services/unit_reports.h"

namespace proofdrive::output {

// "0A A6 1A", of more than 32 bytes the first and how many there are.
std::string ShownBytes(ByteSpan bytes);

// "pack_controller", or "unit at 7ED" for one that was discovered.
std::string UnitLabel(const decoders::UnitReport& unit);
// "P0AA6-1A high-voltage system isolation fault (title from memory), circuit resistance below
// threshold".
std::string DescribeCode(const decoders::TroubleCode& code);
// "failed at its last test; pending; ..." and the J1979 lists it is in. Empty: none.
std::string DescribeState(const decoders::ReportedCode& code);
// An identifier's value: its text, else its bytes; VIN masked unless `show_vin`.
std::string IdentifierText(std::uint16_t identifier, ByteSpan data, bool show_vin);

}  // namespace proofdrive::output
