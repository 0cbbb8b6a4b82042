#include "output/pcapng/reader.h"

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

Result<std::unique_ptr<CaptureReader>> CaptureReader::Open(Files& files, const std::string& path) {
  ASSIGN_OR_RETURN(CaptureInput input, CaptureInput::Open(files, path));
  if (input.size() == 0) return NotACapture(path, "the file is empty");
  ASSIGN_OR_RETURN(const ByteSpan start, input.Peek(4));
  if (start.size() == 4 && ByteReader(start).Get<std::uint32_t>() == kSectionHeader) {
    return OpenPcapng(std::move(input), path);
  }
  if (IsClassicPcapMagic(start)) return OpenClassicPcap(std::move(input), path);
  return NotACapture(path, LooksLike(start));
}

Result<bool> FormatReader::Next(CaptureItem& item) {
  item.events.clear();
  item.frame.reset();
  while (!item.frame && item.events.empty()) {
    if (input_.remaining() == 0 || summary().loss) {
      intake_.FlushComments(item);
      return !item.events.empty();
    }
    RETURN_IF_ERROR(ReadMore(item));
  }
  return true;
}

void FormatReader::Stop(std::string what, std::string advice) {
  session::Loss loss;
  loss.severity = session::Loss::Severity::kDataLoss;
  loss.offset = input_.position();
  loss.bytes = input_.remaining();
  loss.what = std::move(what);
  loss.advice = std::move(advice);
  intake_.summary().loss = std::move(loss);
}

void FormatReader::StopAtTruncation() {
  Stop("the file ends in the middle of something that begins at byte " +
           std::to_string(input_.position()) + "; everything before was read and the last " +
           CountOf(input_.remaining(), "byte") + " lost",
       "Copy the capture again if the original is longer");
}

void FormatReader::StopAtDamage(const std::string& why) {
  Stop("damaged at byte " + std::to_string(input_.position()) + " (" + why +
           "); everything before was read and the last " + CountOf(input_.remaining(), "byte") +
           " lost",
       "Copy the capture again if the original is intact");
}

}  // namespace proofdrive::output
