// `include`: files that a definition file asks for.
#pragma once

#include <string>
#include <vector>

#include "core/base/files.h"
#include "decoders/authoring/yaml_source.h"
#include "decoders/language/mapping_reader.h"

namespace proofdrive::decoders {

// One name below `include`, with its path as seen from where the including file was found.
struct Include {
  std::string path;
  Mark mark;
};

// Whether a file may include that path without the user having named it: it lies in or below the
// folder of `from`. Anything else could show lines of other files of the machine as mistakes.
bool IsBelow(const std::string& path, const std::string& from);

// Whether a symbolic link stands between the folder of `from` and `path`, which IsBelow that
// folder: it could lead anywhere.
bool LeadsThroughLink(Files& files, const std::string& path, const std::string& from);

// The files that the tree of `path` asks for; empty when `include` is missing or wrong.
std::vector<Include> IncludesOf(const YamlNode& root, const std::string& path);
// The same from a text, for a reader that has to find all files first. Mistakes are left to the
// loader.
std::vector<Include> IncludesOf(const SourceText& source);

// Reports what stands below `include` and is no name, and files that are not among `paths`, the
// files that were read.
void CheckIncludes(const MappingReader& file, const YamlNode& root, const std::string& path,
                   const std::vector<std::string>& paths);

}  // namespace proofdrive::decoders
