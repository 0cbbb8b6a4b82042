// A YAML text as a small tree with places. The only user of the YAML library.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "decoders/authoring/reporter.h"

namespace proofdrive::decoders {

// Of the text of one file.
inline constexpr std::size_t kMostYamlBytes = std::size_t{8} << 20;

// One value of a YAML text and everything below it.
struct YamlNode {
  enum class Kind { kEmpty, kText, kList, kMapping };
  Kind kind = Kind::kEmpty;
  Mark mark;         // of the value; of the key when the value is empty
  std::string text;  // kText: as written, quotes removed
  bool quoted = false;
  std::string key;  // when this is a member of a mapping
  Mark key_mark;
  bool repeats_key = false;        // reported, and removed when its mapping ends
  std::vector<YamlNode> children;  // of a list or mapping, in order of the text

  // Place of character `offset` of the text.
  Mark At(std::size_t offset) const;
};

// The tree of a text, with duplicate keys, anchors, tags, a second document and nesting deeper than
// 16 levels reported as errors. nullopt when nothing can be read; the reason has been reported.
// Never throws. Work and memory are proportional to the size of the text, at most
// kMostYamlBytes.
std::optional<YamlNode> ParseYaml(const SourceText& source, std::uint32_t file, Reporter& reporter);

}  // namespace proofdrive::decoders
