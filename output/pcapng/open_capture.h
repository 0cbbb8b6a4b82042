// Finds out which capture format a file has and opens it.
#pragma once

#include <memory>
#include <string>

#include "core/base/files.h"
#include "core/base/result.h"
#include "output/pcapng/reader.h"

namespace proofdrive::output {

// `files` must outlive the reader. kNotFound, kInvalidArgument: not a capture, says what it looks
// like; kUnsupportedVersion: a version of the format that is not known.
Result<std::unique_ptr<CaptureReader>> OpenCapture(Files& files, const std::string& path);

}  // namespace proofdrive::output
