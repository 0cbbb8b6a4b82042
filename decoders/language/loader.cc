#include "decoders/language/loader.h"

#include <deque>
#include <filesystem>
#include <optional>
#include <set>
#include <utility>

#include "decoders/authoring/reporter.h"
#include "decoders/authoring/yaml_source.h"
#include "decoders/language/draft.h"
#include "decoders/language/fact_reader.h"
#include "decoders/language/includes.h"
#include "decoders/language/keys.h"
#include "decoders/language/mapping_reader.h"
#include "decoders/language/section_readers.h"

namespace proofdrive::decoders {
namespace {

// One file: its tree, the reader of its top, and the byte order it states.
struct OpenFile {
  YamlNode root;
  std::optional<MappingReader> top;
  std::optional<ByteOrder> order;
  KnownFrom known_from = KnownFrom::kGuess;
  std::string path;
};

std::optional<ByteOrder> ReadByteOrder(const MappingReader& top) {
  if (top.Find("byte order") == nullptr) return std::nullopt;
  const auto order = top.Choice("byte order");
  if (!order) return ByteOrder::kBig;  // reported; spares a message for each signal
  return order == "big" ? ByteOrder::kBig : ByteOrder::kLittle;
}

void OpenSource(const SourceText& source, std::deque<OpenFile>& files, Reporter& reporter) {
  const std::uint32_t index = reporter.AddFile(source);
  auto root = ParseYaml(source, index, reporter);
  if (!root) return;
  OpenFile& file = files.emplace_back();
  file.root = std::move(*root);
  file.path = source.path;
  if (file.root.kind == YamlNode::Kind::kEmpty) {
    reporter.Error({index, 0, 0}, "is empty", "start with a vehicle: and frames:");
    return;
  }
  file.top.emplace(file.root, kFileRule, "a definition file", reporter);
  file.order = ReadByteOrder(*file.top);
  file.known_from = file.top->KnownFromOr(KnownFrom::kGuess);
}

using SectionReader = void (*)(const MappingReader&, Draft&);

void ReadAll(std::deque<OpenFile>& files, Draft& draft) {
  static constexpr SectionReader kSections[] = {ReadVehicle,      ReadFacts,   ReadBuses,
                                                ReadControlUnits, ReadFrames,  ReadReadings,
                                                ReadComputed,     ReadWarnings};
  for (const SectionReader section : kSections) {
    for (OpenFile& file : files) {
      if (!file.top) continue;
      draft.order = file.order;
      draft.known_from = file.known_from;
      section(*file.top, draft);
    }
  }
  CheckFormulas(draft);
}

struct Unreadable {
  std::string path;
  Status status;
  bool is_included = false;
};

struct Gathered {
  std::vector<SourceText> sources;
  std::vector<Unreadable> unreadable;
};

// Reads the files and what they include from their own folder, each once: a circle of includes is
// harmless.
Gathered Gather(Files& files, std::span<const std::string> paths) {
  Gathered gathered;
  std::deque<std::string> waiting(paths.begin(), paths.end());
  std::set<std::string> seen;
  for (std::size_t read = 0; !waiting.empty(); ++read) {
    const std::string path = std::move(waiting.front());
    waiting.pop_front();
    if (!seen.insert(std::filesystem::path(path).lexically_normal().string()).second) continue;
    auto text = ReadWholeFile(files, path, kMostYamlBytes);
    if (!text.ok()) {
      gathered.unreadable.push_back({path, text.status(), read >= paths.size()});
      continue;
    }
    gathered.sources.push_back({path, std::move(*text)});
    for (const Include& include : IncludesOf(gathered.sources.back())) {
      if (IsBelow(include.path, path) && !LeadsThroughLink(files, include.path, path)) {
        waiting.push_back(include.path);
      }
    }
  }
  return gathered;
}

}  // namespace

LoadResult LoadDefinitions(std::span<const SourceText> sources) {
  Reporter reporter;
  Draft draft(reporter);
  std::deque<OpenFile> files;  // never moves: the readers refer to the trees
  for (const SourceText& source : sources) {
    draft.definitions.files.push_back(source.path);
    OpenSource(source, files, reporter);
  }
  for (const OpenFile& file : files) {
    if (file.top) CheckIncludes(*file.top, file.root, file.path, draft.definitions.files);
  }
  ReadAll(files, draft);
  LoadResult result;
  if (reporter.errors() == 0) {
    result.definitions = std::make_shared<const Definitions>(std::move(draft.definitions));
  }
  result.diagnostics = reporter.Take();
  return result;
}

Result<std::vector<SourceText>> ReadSources(Files& files, std::span<const std::string> paths) {
  Gathered gathered = Gather(files, paths);
  if (!gathered.unreadable.empty()) {
    const Unreadable& first = gathered.unreadable.front();
    return first.status.WithContext("definition file " + first.path);
  }
  return std::move(gathered.sources);
}

LoadResult LoadDefinitionFiles(Files& files, std::span<const std::string> paths) {
  const Gathered gathered = Gather(files, paths);
  LoadResult result = LoadDefinitions(gathered.sources);
  std::vector<Diagnostic> missing;
  for (const Unreadable& unreadable : gathered.unreadable) {
    // An included file that is missing is reported where it is included.
    if (unreadable.is_included && unreadable.status.kind() == ErrorKind::kNotFound) continue;
    Diagnostic diagnostic;
    diagnostic.file = unreadable.path;
    diagnostic.message = "cannot be read: " + unreadable.status.message();
    diagnostic.hint = "check the path and its permissions";
    missing.push_back(std::move(diagnostic));
  }
  if (missing.empty()) return result;
  result.definitions = nullptr;
  result.diagnostics.insert(result.diagnostics.begin(), missing.begin(), missing.end());
  return result;
}

}  // namespace proofdrive::decoders
