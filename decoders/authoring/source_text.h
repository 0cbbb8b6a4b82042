// A file that a person wrote, as it was read.
#pragma once

#include <string>

namespace proofdrive::decoders {

struct SourceText {
  std::string path;  // shown in messages
  std::string text;
};

}  // namespace proofdrive::decoders
