// The files of the live page, compiled into the daemon.
#pragma once

#include <span>

#include "core/base/embedded_file.h"

namespace proofdrive::daemon {

// Everything embed_files in daemon/CMakeLists.txt names.
std::span<const EmbeddedFile> EmbeddedFiles();

}  // namespace proofdrive::daemon
