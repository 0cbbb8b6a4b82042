#include "tools/shell/progress.h"

#include <algorithm>
#include <cmath>
#include <ostream>

namespace proofdrive::tools {
namespace {

constexpr Duration kQuiet = std::chrono::seconds(1);
constexpr Duration kBetweenDrawings = std::chrono::milliseconds(100);
constexpr std::uint64_t kDots = 25;
// Back to the start of the line and erase it (ECMA-48).
constexpr char kEraseLine[] = "\r\x1b[K";
constexpr double kShareToTell = 0.05;  // too little before it to say how long the rest takes

// ", about 40 s left" at the speed so far.
std::string Remaining(double seconds, double share) {
  if (share < kShareToTell || share >= 1) return "";
  const double left = std::ceil(seconds * (1 - share) / share);
  return ", about " +
         (left < 120 ? std::to_string(static_cast<int>(left)) + " s"
                     : std::to_string(static_cast<int>(left / 60)) + " min") +
         " left";
}

}  // namespace

const Clock& Progress::SystemClockOfTools() {
  static const SystemClock clock;
  return clock;
}

Progress::Progress(Environment& environment, std::string what, const Clock& clock)
    : environment_(environment),
      what_(std::move(what)),
      clock_(clock),
      started_(clock.Now().steady),
      drawn_(started_) {}

Progress::~Progress() {
  if (shown_) environment_.err << kEraseLine << std::flush;
}

void Progress::Update(std::uint64_t done, std::uint64_t all) {
  if (!environment_.terminal || all == 0) return;
  const SteadyTime now = clock_.Now().steady;
  if (now - started_ < kQuiet || (shown_ && now - drawn_ < kBetweenDrawings)) return;
  drawn_ = now;
  shown_ = true;
  const double share = static_cast<double>(std::min(done, all)) / static_cast<double>(all);
  const auto dots = static_cast<std::size_t>(share * static_cast<double>(kDots));
  environment_.err << kEraseLine << what_ << "  " << std::string(dots, 'o')
                   << std::string(kDots - dots, '.') << "  " << static_cast<int>(share * 100.0)
                   << " %" << Remaining(ToSeconds(now - started_), share) << std::flush;
}

std::function<void(std::uint64_t, std::uint64_t)> Progress::Function() {
  return [this](std::uint64_t done, std::uint64_t all) { Update(done, all); };
}

}  // namespace proofdrive::tools
