#include "web/assets.h"

#include <cstdio>

#include "core/digests/crc32c.h"

namespace proofdrive::web {
namespace {

struct MediaType {
  std::string_view ending;
  std::string_view type;
};
constexpr MediaType kMediaTypes[] = {
    {".html", "text/html; charset=utf-8"},
    {".css", "text/css; charset=utf-8"},
    {".js", "text/javascript; charset=utf-8"},  // RFC 9239
    {".svg", "image/svg+xml"},
    {".webmanifest", "application/manifest+json"},
};

std::string_view TypeOf(std::string_view name) {
  for (const MediaType& row : kMediaTypes) {
    if (name.ends_with(row.ending)) return row.type;
  }
  return "application/octet-stream";
}

std::string TagOf(std::string_view bytes) {
  char tag[32];
  const auto* data = reinterpret_cast<const std::uint8_t*>(bytes.data());
  std::snprintf(tag, sizeof(tag), "\"%08x-%zx\"", Crc32c({data, bytes.size()}), bytes.size());
  return tag;
}

}  // namespace

Assets::Assets(std::span<const EmbeddedFile> files) {
  for (const EmbeddedFile& file : files) {
    const Asset asset{file.bytes, TypeOf(file.name), TagOf(file.bytes)};
    table_.emplace(file.name == "index.html" ? "/" : "/" + std::string(file.name), asset);
  }
}

const Asset* Assets::Find(std::string_view path) const {
  const auto found = table_.find(path);
  return found == table_.end() ? nullptr : &found->second;
}

}  // namespace proofdrive::web
