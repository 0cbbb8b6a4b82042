#include "analysis/findings/session_findings.h"

namespace proofdrive::analysis {

std::string ChannelLabel(const session::Header& header, std::uint8_t channel) {
  for (const session::Channel& candidate : header.channels) {
    if (candidate.number != channel) continue;
    if (!candidate.bus.empty()) return candidate.bus;
    if (!candidate.name.empty()) return candidate.name;
  }
  return "channel " + std::to_string(channel);
}

}  // namespace proofdrive::analysis
