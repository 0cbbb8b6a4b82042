#include "tests/rig/patterns.h"

#include <random>
#include <string>

namespace proofdrive::rig {
namespace {

void MakeFlexible(Frame& frame, std::uint64_t bits) {
  frame.flags |= kFlexibleData;
  if (bits & 1) frame.flags |= kBitRateSwitch;
  if (bits & 2) frame.flags |= kErrorState;
  frame.length = FdLengthOfDlc(static_cast<std::uint8_t>((bits >> 2) % 16));
}

Frame MakeFrame(std::mt19937_64& random, bool flexible) {
  Frame frame;
  const bool extended = random() % 4 == 0;
  frame.id = static_cast<std::uint32_t>(random()) & (extended ? kMaxExtendedId : kMaxBaseId);
  if (extended) frame.flags |= kExtendedId;
  frame.length = static_cast<std::uint8_t>(random() % 9);
  if (flexible && random() % 8 != 0) {
    MakeFlexible(frame, random());
  } else if (random() % 16 == 0) {
    frame.flags |= kRemote;
    if (!flexible) frame.length = 0;
  }
  const std::size_t bytes = frame.payload().size();
  for (std::size_t i = 0; i < bytes; ++i) frame.data[i] = static_cast<std::uint8_t>(random());
  return frame;
}

}  // namespace

Result<std::vector<Frame>> MakePattern(std::string_view name, std::size_t count, Duration every,
                                       std::uint64_t seed) {
  const bool flexible = name == "fd";
  if (!flexible && name != "classic") {
    return Status(ErrorKind::kNotFound,
                  "no pattern \"" + std::string(name) + "\": there are classic and fd");
  }
  std::mt19937_64 random(seed);
  std::vector<Frame> frames;
  for (std::size_t i = 0; i < count; ++i) {
    frames.push_back(MakeFrame(random, flexible));
    frames.back().time = WallTime(every * static_cast<std::int64_t>(i));
  }
  return frames;
}

}  // namespace proofdrive::rig
