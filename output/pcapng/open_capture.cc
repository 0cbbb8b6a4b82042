#include "output/pcapng/open_capture.h"

#include <algorithm>

#include "core/base/text.h"
#include "output/pcapng/blocks.h"
#include "output/pcapng/formats.h"

namespace proofdrive::output {
namespace {

constexpr char kAdvice[] =
    "Give a pcapng or pcap file with CAN frames (link type 227); see docs/captures.md";

struct KnownStart {
  std::vector<std::uint8_t> bytes;
  const char* what;
};

// What a file that is no capture looks like, for a better sentence.
std::string LooksLike(ByteSpan start) {
  static const KnownStart kKnown[] = {
      {{0x1F, 0x8B}, "it is compressed (gzip); unpack it first"},
      {{0x28, 0xB5, 0x2F, 0xFD}, "it is compressed (zstd); unpack it first"},
      {{'P', 'K', 3, 4}, "it is a zip archive; unpack it first"},
      {{0xD7, 'p', 'r', 'f'}, "it is a session already; use it as it is"},
  };
  for (const KnownStart& known : kKnown) {
    if (start.size() >= known.bytes.size() &&
        std::equal(known.bytes.begin(), known.bytes.end(), start.begin())) {
      return known.what;
    }
  }
  return "it begins with " + HexBytes(start);
}

Status NotACapture(const std::string& path, const std::string& why) {
  return Status(ErrorKind::kInvalidArgument, path + ": not a capture: " + why + ". " + kAdvice);
}

}  // namespace

Result<std::unique_ptr<CaptureReader>> OpenCapture(Files& files, const std::string& path) {
  ASSIGN_OR_RETURN(CaptureInput input, CaptureInput::Open(files, path));
  if (input.size() == 0) return NotACapture(path, "the file is empty");
  ASSIGN_OR_RETURN(const ByteSpan start, input.Peek(4));
  if (start.size() == 4 && ByteReader(start).Get<std::uint32_t>() == kSectionHeader) {
    return OpenPcapng(std::move(input), path);
  }
  if (IsClassicPcapMagic(start)) return OpenClassicPcap(std::move(input), path);
  return NotACapture(path, LooksLike(start));
}

}  // namespace proofdrive::output
