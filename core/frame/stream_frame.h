// The other way round from KeyOf: what all frames of a stream have in common.
#pragma once

#include "core/frame/frame.h"

namespace proofdrive {

// A frame of this stream; its time and data are still to be filled in.
inline Frame FrameOf(const StreamKey& key) {
  Frame frame;
  frame.channel = key.channel;
  frame.id = key.id;
  frame.flags = key.flags;
  frame.length = key.length;
  frame.raw_dlc = key.raw_dlc;
  return frame;
}

}  // namespace proofdrive
