// The files of a page, compiled into the program, as a browser asks for them.
#pragma once

#include <functional>
#include <map>
#include <span>
#include <string>
#include <string_view>

#include "core/base/embedded_file.h"

namespace proofdrive::web {

struct Asset {
  std::string_view bytes;
  std::string_view type;  // media type (RFC 9110 cl. 8.3)
  std::string tag;        // entity tag (RFC 9110 cl. 8.8.3): changes with the bytes
};

// Immutable. Any thread.
class Assets {
 public:
  // The bytes must outlive the object and its copies. index.html is the file for "/".
  explicit Assets(std::span<const EmbeddedFile> files);

  // The file for a path such as "/" or "/page.css"; null when there is none.
  const Asset* Find(std::string_view path) const;

 private:
  std::map<std::string, Asset, std::less<>> table_;
};

}  // namespace proofdrive::web
