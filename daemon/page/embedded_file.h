// Files that were compiled into the program.
#pragma once

#include <span>
#include <string_view>

namespace proofdrive::daemon {

struct EmbeddedFile {
  std::string_view name;  // without folders
  std::string_view bytes;
};

// Everything embed_files in CMakeLists.txt names.
std::span<const EmbeddedFile> EmbeddedFiles();

}  // namespace proofdrive::daemon
