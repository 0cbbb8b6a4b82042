// A file that was compiled into the program (cmake/Embed.cmake).
#pragma once

#include <span>
#include <string_view>

namespace proofdrive {

struct EmbeddedFile {
  std::string_view name;  // without folders
  std::string_view bytes;
};

}  // namespace proofdrive
