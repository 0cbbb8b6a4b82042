#include "daemon/live/load_meter.h"

#include <algorithm>
#include <utility>

namespace proofdrive::daemon {
namespace {

// Bits of an FD frame outside the data phase (ISO 11898-1; Linux linux/can/length.h): from the
// start of frame to the bit rate switch, and from the acknowledgement to the intermission; then
// with the stuff bits that the first part can have, one after four.
constexpr BitCount kBaseNominal{29, 33};
constexpr BitCount kExtendedNominal{48, 56};

double PartOfTime(std::uint64_t nominal, std::uint64_t data, const session::Channel& channel,
                  Duration elapsed) {
  if (channel.bitrate == 0) return 0;
  const std::uint32_t data_rate =
      channel.data_bitrate != 0 ? channel.data_bitrate : channel.bitrate;
  const double busy =
      static_cast<double>(nominal) / channel.bitrate + static_cast<double>(data) / data_rate;
  return std::min(1.0, busy / ToSeconds(elapsed));
}

}  // namespace

void LoadMeter::Count(const Frame& frame) {
  Sums& sums = sums_[frame.channel];
  ++sums.frames;
  const BitCount bits = WireBits(frame);
  if (!frame.Is(kBitRateSwitch)) {
    sums.nominal_least += bits.least;
    sums.nominal_most += bits.most;
    return;
  }
  const BitCount nominal = frame.Is(kExtendedId) ? kExtendedNominal : kBaseNominal;
  sums.nominal_least += nominal.least;
  sums.nominal_most += nominal.most;
  sums.data_least += bits.least - nominal.least;
  sums.data_most += bits.most - nominal.least;
}

LoadMeter::Load LoadMeter::Take(const session::Channel& channel, Duration elapsed) {
  const Sums sums = std::exchange(sums_[channel.number], Sums());
  return {static_cast<double>(sums.frames) / ToSeconds(elapsed),
          PartOfTime(sums.nominal_least, sums.data_least, channel, elapsed),
          PartOfTime(sums.nominal_most, sums.data_most, channel, elapsed)};
}

}  // namespace proofdrive::daemon
