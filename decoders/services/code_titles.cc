// Texts of SAE J2012-DA (ISO 15031-6), paraphrased, each with where it was found.
#include <algorithm>
#include <iterator>

#include "decoders/services/trouble_code.h"

namespace proofdrive::decoders {
namespace {

constexpr Basis L = Basis::kLookedUp;
constexpr Basis M = Basis::kFromMemory;

struct Row {
  std::uint32_t number;
  BasedText text;
};

// Sorted by number. L: the title was seen in published service literature or in ISO text.
constexpr Row kTitles[] = {
    {0x0560, {"12 V system voltage", L}},
    {0x0561, {"12 V system voltage unstable", L}},
    {0x0562, {"12 V system voltage low", M}},
    {0x0563, {"12 V system voltage high", M}},
    {0x0A00, {"motor electronics coolant temperature sensor circuit", M}},
    {0x0A05, {"motor electronics coolant pump control circuit", M}},
    {0x0A08, {"DC/DC converter status circuit", M}},
    {0x0A09, {"DC/DC converter status circuit low", M}},
    {0x0A0A, {"high-voltage interlock circuit", L}},
    {0x0A0B, {"high-voltage interlock performance", M}},
    {0x0A0C, {"high-voltage interlock circuit low", M}},
    {0x0A0D, {"high-voltage interlock circuit high", M}},
    {0x0A10, {"DC/DC converter status circuit high", M}},
    {0x0A1A, {"generator control module", M}},
    {0x0A1B, {"drive motor \"A\" control module", L}},
    {0x0A1D, {"hybrid/EV powertrain control module", M}},
    {0x0A1F, {"battery energy control module", L}},
    {0x0A2A, {"drive motor \"A\" temperature sensor circuit", M}},
    {0x0A2B, {"drive motor \"A\" temperature sensor range", L}},
    {0x0A2C, {"drive motor \"A\" temperature sensor low", L}},
    {0x0A2D, {"drive motor \"A\" temperature sensor high", L}},
    {0x0A2F, {"drive motor \"A\" over temperature", M}},
    {0x0A3C, {"drive motor \"A\" inverter over temperature", M}},
    {0x0A3F, {"drive motor \"A\" position sensor circuit", M}},
    {0x0A40, {"drive motor \"A\" position sensor range", L}},
    {0x0A41, {"drive motor \"A\" position sensor low", L}},
    {0x0A42, {"drive motor \"A\" position sensor high", L}},
    {0x0A78, {"drive motor \"A\" inverter performance", M}},
    {0x0A7C, {"motor electronics over temperature", M}},
    {0x0A7D, {"high-voltage pack state of charge low", M}},
    {0x0A7E, {"high-voltage pack over temperature", M}},
    {0x0A7F, {"high-voltage pack deterioration", M}},
    {0x0A80, {"replace high-voltage pack", M}},
    {0x0A93, {"inverter cooling performance", M}},
    {0x0A94, {"DC/DC converter performance", M}},
    {0x0A95, {"high-voltage fuse", M}},
    {0x0A9B, {"high-voltage battery temperature sensor circuit", L}},
    {0x0AA0, {"high-voltage positive contactor circuit", M}},
    {0x0AA1, {"high-voltage positive contactor stuck closed", L}},
    {0x0AA2, {"high-voltage positive contactor stuck open", M}},
    {0x0AA3, {"high-voltage negative contactor circuit", M}},
    {0x0AA4, {"high-voltage negative contactor stuck closed", M}},
    {0x0AA5, {"high-voltage negative contactor stuck open", M}},
    {0x0AA6, {"high-voltage system isolation fault", M}},
    {0x0AA7, {"isolation sensor circuit", M}},
    {0x0ABF, {"pack current sensor circuit", M}},
    {0x0AC0, {"pack current sensor range", M}},
    {0x0AC1, {"pack current sensor low", M}},
    {0x0AC2, {"pack current sensor high", M}},
    {0x0AE2, {"precharge contactor stuck closed", M}},
    {0x0AE3, {"precharge contactor stuck open", M}},
    {0x0AEE, {"inverter temperature sensor \"A\" range", L}},
    {0x0AEF, {"inverter temperature sensor \"A\" low", L}},
    {0x0AF0, {"inverter temperature sensor \"A\" high", L}},
    {0x0AF3, {"inverter temperature sensor \"B\" range", L}},
    {0x0AF4, {"inverter temperature sensor \"B\" low", L}},
    {0x0AF5, {"inverter temperature sensor \"B\" high", L}},
    {0x0AFA, {"high-voltage battery system voltage low", L}},
    {0x0AFB, {"high-voltage battery system voltage high", M}},
    {0x0BE6, {"drive motor \"A\" phase U current sensor range", L}},
    {0xC073, {"communication bus \"A\" off", M}},
    {0xC100, {"lost communication with engine/powertrain control module \"A\"", M}},
    {0xC110, {"lost communication with drive motor control module \"A\"", M}},
    {0xC111, {"lost communication with battery energy control module \"A\"", M}},
    {0xC293, {"lost communication with hybrid/EV powertrain control module", M}},
    {0xC298, {"lost communication with DC/DC converter control module", M}},
};

// Sorted by number. 00-3A: a public restatement of SAE J2012-DA was read; 11, 17 and 1F also in the
// examples of ISO 14229-1.
constexpr Row kFailureTypes[] = {
    {0x00, {"no more is said", L}},
    {0x01, {"general electrical failure", L}},
    {0x02, {"general signal failure", L}},
    {0x03, {"frequency or pulse width modulation failure", L}},
    {0x04, {"system internal failure", L}},
    {0x05, {"system programming failure", L}},
    {0x06, {"algorithm based failure", L}},
    {0x07, {"mechanical failure", L}},
    {0x08, {"bus signal or message failure", L}},
    {0x09, {"component failure", L}},
    {0x11, {"circuit short to ground", L}},
    {0x12, {"circuit short to battery", L}},
    {0x13, {"circuit open", L}},
    {0x14, {"circuit short to ground or open", L}},
    {0x15, {"circuit short to battery or open", L}},
    {0x16, {"circuit voltage below threshold", L}},
    {0x17, {"circuit voltage above threshold", L}},
    {0x18, {"circuit current below threshold", L}},
    {0x19, {"circuit current above threshold", L}},
    {0x1A, {"circuit resistance below threshold", L}},
    {0x1B, {"circuit resistance above threshold", L}},
    {0x1C, {"circuit voltage out of range", L}},
    {0x1D, {"circuit current out of range", L}},
    {0x1E, {"circuit resistance out of range", L}},
    {0x1F, {"circuit intermittent", L}},
    {0x21, {"signal amplitude too small", L}},
    {0x22, {"signal amplitude too large", L}},
    {0x23, {"signal stuck low", L}},
    {0x24, {"signal stuck high", L}},
    {0x25, {"signal shape wrong", L}},
    {0x26, {"signal changes too slowly", L}},
    {0x27, {"signal changes too fast", L}},
    {0x28, {"signal bias or zero adjustment out of range", L}},
    {0x29, {"signal invalid", L}},
    {0x2A, {"signal stuck in range", L}},
    {0x2B, {"signals cross coupled", L}},
    {0x2F, {"signal erratic", L}},
    {0x31, {"no signal", L}},
    {0x32, {"signal low for too short a time", L}},
    {0x33, {"signal low for too long a time", L}},
    {0x34, {"signal high for too short a time", L}},
    {0x35, {"signal high for too long a time", L}},
    {0x36, {"signal frequency too low", L}},
    {0x37, {"signal frequency too high", L}},
    {0x38, {"signal frequency incorrect", L}},
    {0x39, {"too few pulses", L}},
    {0x3A, {"too many pulses", L}},
    {0x41, {"general checksum failure", M}},
    {0x42, {"general memory failure", M}},
    {0x43, {"special memory failure", M}},
    {0x44, {"data memory failure", M}},
    {0x45, {"program memory failure", M}},
    {0x46, {"calibration memory failure", M}},
    {0x47, {"watchdog or safety processor failure", M}},
    {0x48, {"supervision software failure", M}},
    {0x49, {"internal electronic failure", M}},
    {0x4A, {"wrong component installed", M}},
    {0x4B, {"over temperature", M}},
    {0x51, {"not programmed", M}},
    {0x52, {"not activated", M}},
    {0x53, {"deactivated", M}},
    {0x54, {"calibration missing", M}},
    {0x55, {"not configured", M}},
    {0x56, {"configuration invalid", M}},
    {0x57, {"software component invalid", M}},
    {0x61, {"signal calculation failure", M}},
    {0x62, {"signal compare failure", M}},
    {0x63, {"protection time-out", M}},
    {0x64, {"signal plausibility failure", M}},
    {0x65, {"too few transitions or events", M}},
    {0x66, {"too many transitions or events", M}},
    {0x67, {"signal incorrect after event", M}},
    {0x68, {"event information", M}},
    {0x71, {"actuator stuck", M}},
    {0x72, {"actuator stuck open", M}},
    {0x73, {"actuator stuck closed", M}},
    {0x74, {"actuator slipping", M}},
    {0x75, {"emergency position not reachable", M}},
    {0x76, {"wrong mounting position", M}},
    {0x77, {"commanded position not reachable", M}},
    {0x78, {"alignment incorrect", M}},
    {0x79, {"mechanical linkage failure", M}},
    {0x7A, {"leak or seal failure", M}},
    {0x7B, {"fluid level low", M}},
    {0x81, {"invalid serial data received", M}},
    {0x82, {"alive counter not updated", M}},
    {0x83, {"protection value incorrect", M}},
    {0x84, {"received signal below range", M}},
    {0x85, {"received signal above range", M}},
    {0x86, {"received signal invalid", M}},
    {0x87, {"message missing", M}},
    {0x88, {"bus off", M}},
    {0x8F, {"received signal erratic", M}},
    {0x91, {"parametric failure", M}},
    {0x92, {"performance or incorrect operation", M}},
    {0x93, {"no operation", M}},
    {0x94, {"unexpected operation", M}},
    {0x95, {"incorrect assembly", M}},
    {0x96, {"component internal failure", M}},
    {0x97, {"component obstructed or blocked", M}},
    {0x98, {"component over temperature", M}},
};

template <std::size_t Count>
std::optional<BasedText> Find(const Row (&rows)[Count], std::uint32_t number) {
  const auto* row =
      std::lower_bound(std::begin(rows), std::end(rows), number,
                       [](const Row& left, std::uint32_t right) { return left.number < right; });
  if (row == std::end(rows) || row->number != number) return std::nullopt;
  return row->text;
}

}  // namespace

std::optional<BasedText> TroubleCodeTitle(std::uint16_t code) { return Find(kTitles, code); }

std::optional<BasedText> FailureTypeText(std::uint8_t failure_type) {
  return Find(kFailureTypes, failure_type);
}

}  // namespace proofdrive::decoders
