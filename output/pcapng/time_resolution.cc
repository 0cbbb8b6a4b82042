#include "output/pcapng/time_resolution.h"

#include <memory>

#include "output/pcapng/open_capture.h"

namespace proofdrive::output {
namespace {

constexpr Duration kCoarsest = std::chrono::microseconds(1);
constexpr Duration kFinest = std::chrono::nanoseconds(1);

bool Keeps(Duration resolution, WallTime time) {
  return ToNanoseconds(time) % resolution.count() == 0;
}

}  // namespace

Result<Duration> ResolutionOf(Files& files, const std::string& capture) {
  ASSIGN_OR_RETURN(const auto reader, OpenCapture(files, capture));
  Duration resolution = kCoarsest;
  CaptureItem item;
  while (resolution > kFinest) {
    ASSIGN_OR_RETURN(const bool more, reader->Next(item));
    if (!more) break;
    while (item.frame && !Keeps(resolution, item.frame->time)) resolution /= 10;
  }
  return resolution;
}

}  // namespace proofdrive::output
