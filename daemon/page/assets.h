// The files of the live page, as a browser asks for them.
#pragma once

#include <string>
#include <string_view>

namespace proofdrive::daemon {

struct Asset {
  std::string_view bytes;
  std::string_view type;  // media type (RFC 9110 cl. 8.3)
  std::string tag;        // entity tag (RFC 9110 cl. 8.8.3): changes with the bytes
};

// The file for a path such as "/" or "/page.css"; null when there is none. Any thread.
const Asset* FindAsset(std::string_view path);

}  // namespace proofdrive::daemon
