// The list of frames the rig's programs write and compare_frames.py reads: one frame per line,
//   channel seconds id flags length data
// for example "0 1700000000.000123456 2A1 00 8 0011223344556677"; id, flags (core/frame/frame.h)
// and data are hexadecimal, "-" stands for no data.
#pragma once

#include <cstdio>
#include <string>

#include "core/base/result.h"
#include "core/frame/frame.h"

namespace proofdrive::rig {

// Appends lines to a file. One thread.
class FrameList {
 public:
  // An empty path lists nowhere.
  Status Open(const std::string& path);
  ~FrameList();
  void Add(const Frame& frame);
  // Flushes; says whether every line was written.
  Status Close();

 private:
  std::FILE* file_ = nullptr;
};

}  // namespace proofdrive::rig
