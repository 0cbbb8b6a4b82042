#include "daemon/process/status_line.h"

#include <cmath>
#include <ostream>

#include "core/base/text.h"

namespace proofdrive::daemon {
namespace {

constexpr char kEraseLine[] = "\r\033[K";  // ECMA-48: carriage return, erase to the end of the line

}  // namespace

std::string StatusLineText(const Snapshot& snapshot) {
  std::string text = "listening";
  if (snapshot.recording) {
    text =
        "recording " + snapshot.recording->name + "  " + SpokenDuration(snapshot.recording->length);
  }
  text += "  " + FormatCount(static_cast<std::uint64_t>(std::llround(snapshot.frames_per_s))) +
          " frames/s";
  if (snapshot.definitions) text += "  " + FormatCount(snapshot.WarningsOn()) + " warnings on";
  return text + "  " + FormatCount(snapshot.drops) + " lost";
}

void StatusLine::Show(const std::string& text) {
  const std::lock_guard lock(mutex_);
  text_ = text;
  Erase();
  Draw();
}

void StatusLine::Clear() {
  const std::lock_guard lock(mutex_);
  Erase();
  text_.clear();
}

void StatusLine::Write(LogLevel level, std::string_view text) {
  const std::lock_guard lock(mutex_);
  Erase();
  log_.Write(level, text);
  Draw();
}

void StatusLine::Draw() { terminal_ << text_ << std::flush; }

void StatusLine::Erase() {
  if (!text_.empty()) terminal_ << kEraseLine << std::flush;
}

}  // namespace proofdrive::daemon
