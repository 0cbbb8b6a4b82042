// What every report carries within it: its style, its script and the library that draws the plots.
#pragma once

#include <span>

#include "core/base/embedded_file.h"

namespace proofdrive::output {

// Everything embed_files in output/CMakeLists.txt names.
std::span<const EmbeddedFile> EmbeddedFiles();

}  // namespace proofdrive::output
