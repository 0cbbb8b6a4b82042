#include "decoders/language/includes.h"

#include <algorithm>
#include <filesystem>

#include "core/base/files.h"

namespace proofdrive::decoders {
namespace {

// Seen from the folder of `from`, without "." and ".." where they can be resolved.
std::string Resolve(const std::string& name, const std::string& from) {
  const std::filesystem::path path(name);
  if (path.is_absolute()) return path.lexically_normal().string();
  return (std::filesystem::path(DirectoryOf(from)) / path).lexically_normal().string();
}

const YamlNode* FindInclude(const YamlNode& root) {
  if (root.kind != YamlNode::Kind::kMapping) return nullptr;
  for (const YamlNode& child : root.children) {
    if (child.key == "include") return &child;
  }
  return nullptr;
}

constexpr const char* kOutsideHint =
    "it is not read because it lies outside of the folder of this file; if that is meant, name it "
    "too wherever you name this file";

}  // namespace

bool IsBelow(const std::string& path, const std::string& from) {
  const auto folder = std::filesystem::path(DirectoryOf(from)).lexically_normal();
  const auto relative = std::filesystem::path(path).lexically_relative(folder);
  return !relative.empty() && *relative.begin() != "..";
}

bool LeadsThroughLink(Files& files, const std::string& path, const std::string& from) {
  const std::filesystem::path folder(DirectoryOf(from));
  std::filesystem::path place = folder.lexically_normal();
  for (const auto& step : std::filesystem::path(path).lexically_relative(place)) {
    place /= step;
    if (files.KindOf(place.string()) == PathKind::kLink) return true;
  }
  return false;
}

std::vector<Include> IncludesOf(const YamlNode& root, const std::string& path) {
  const YamlNode* node = FindInclude(root);
  if (node == nullptr) return {};
  std::vector<Include> includes;
  if (node->kind == YamlNode::Kind::kText) {
    includes.push_back({Resolve(node->text, path), node->mark});
  }
  for (const YamlNode& item : node->children) {
    if (node->kind == YamlNode::Kind::kList && item.kind == YamlNode::Kind::kText) {
      includes.push_back({Resolve(item.text, path), item.mark});
    }
  }
  return includes;
}

std::vector<Include> IncludesOf(const SourceText& source) {
  Reporter ignored;
  const std::uint32_t file = ignored.AddFile(source);
  const auto root = ParseYaml(source, file, ignored);
  return root ? IncludesOf(*root, source.path) : std::vector<Include>{};
}

void CheckIncludes(const MappingReader& file, const YamlNode& root, const std::string& path,
                   const std::vector<std::string>& paths) {
  const YamlNode* node = FindInclude(root);
  if (node == nullptr) return;
  const auto includes = IncludesOf(root, path);
  const std::size_t wanted = node->kind == YamlNode::Kind::kList ? node->children.size() : 1;
  if (includes.size() != wanted) {
    file.Error(node->mark, "\"include\" must be the name of a file or a list of names",
               "write for example include: common.yaml");
  }
  for (const Include& include : includes) {
    const auto same = [&](const std::string& other) {
      return std::filesystem::path(other).lexically_normal().string() == include.path;
    };
    if (std::any_of(paths.begin(), paths.end(), same)) continue;
    const bool below = IsBelow(include.path, path);
    file.Error(
        include.mark,
        "the included file " + include.path + (below ? " was not found" : " is not used"),
        below ? "its name is seen from the folder of the file that includes it; symbolic links are "
                "not followed"
              : kOutsideHint);
  }
}

}  // namespace proofdrive::decoders
