// Recordings written as text, for tests that turn a recording into text again.
//
//   name before the repair
//   stage arrival
//   start 2026-03-01T12:00:00Z
//   channel 0 pack                                  number, bus; "-" for no bus
//   definitions definitions.yaml                    stored with the session
//   every 100 ms from 0 s to 92 s  pack 2A1  01 02  frames of one identifier
//   at 12.5 s  pack 2A1x  01 02                     one frame; x: 29-bit identifier
//   step -6 s at 30 s                               all times after the 30th second are 6 s less
//
// "#" starts a comment. Frames are put in order of time before the steps are made; frames of the
// same time keep the order of the lines.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "core/base/result.h"
#include "core/frame/frame.h"

namespace proofdrive::testing {

struct FrameScript {
  std::string name;
  std::string stage;
  WallTime start;
  std::vector<std::pair<std::uint8_t, std::string>> channels;  // number, bus
  std::vector<std::string> definitions;
  std::vector<Frame> frames;  // in order of arrival
};

// kInvalidArgument says which line is wrong.
Result<FrameScript> ParseFrameScript(const std::string& text);

}  // namespace proofdrive::testing
