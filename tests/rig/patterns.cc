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

// Classes and bytes of linux/can/error.h.
Frame MakeError(std::size_t index) {
  struct Message {
    std::uint32_t classes;
    std::uint8_t at;
    std::uint8_t value;
  };
  constexpr Message kMessages[] = {{0x004, 1, 0x08}, {0x004, 1, 0x10}, {0x040, 0, 0x00},
                                   {0x100, 0, 0x00}, {0x004, 1, 0x40}, {0x002, 0, 0x05},
                                   {0x020, 0, 0x00}, {0x088, 2, 0x04}};
  const Message& message = kMessages[index % std::size(kMessages)];
  Frame frame;
  frame.id = message.classes;
  frame.flags = kErrorMessage;
  frame.length = 8;
  frame.data[message.at] = message.value;
  return frame;
}

}  // namespace

Result<std::vector<Frame>> MakePattern(std::string_view name, std::size_t count, Duration every,
                                       std::uint64_t seed) {
  const bool flexible = name == "fd";
  const bool errors = name == "errors";
  if (!flexible && !errors && name != "classic") {
    return Status(ErrorKind::kNotFound,
                  "no pattern \"" + std::string(name) + "\": there are classic, fd and errors");
  }
  std::mt19937_64 random(seed);
  std::vector<Frame> frames;
  for (std::size_t i = 0; i < count; ++i) {
    frames.push_back(errors ? MakeError(i) : MakeFrame(random, flexible));
    frames.back().time = WallTime(every * static_cast<std::int64_t>(i));
  }
  return frames;
}

}  // namespace proofdrive::rig
