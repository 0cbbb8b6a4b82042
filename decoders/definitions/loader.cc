#include "decoders/definitions/loader.h"

#include <deque>
#include <optional>
#include <utility>

#include "decoders/definitions/draft.h"
#include "decoders/definitions/keys.h"
#include "decoders/definitions/mapping_reader.h"
#include "decoders/definitions/reporter.h"
#include "decoders/definitions/section_readers.h"
#include "decoders/definitions/yaml_source.h"

namespace proofdrive::decoders {
namespace {

// One file: its tree, the reader of its top, and the byte order it states.
struct OpenFile {
  YamlNode root;
  std::optional<MappingReader> top;
  std::optional<ByteOrder> order;
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
  if (file.root.kind == YamlNode::Kind::kEmpty) {
    reporter.Error({index, 0, 0}, "is empty", "start with a vehicle: and frames:");
    return;
  }
  file.top.emplace(file.root, kFileRule, "a definition file", reporter);
  file.order = ReadByteOrder(*file.top);
}

using SectionReader = void (*)(const MappingReader&, Draft&);

void ReadAll(std::deque<OpenFile>& files, Draft& draft) {
  static constexpr SectionReader kSections[] = {ReadVehicle, ReadBuses,    ReadControlUnits,
                                                ReadFrames,  ReadReadings, ReadComputed,
                                                ReadWarnings};
  for (const SectionReader section : kSections) {
    for (OpenFile& file : files) {
      if (!file.top) continue;
      draft.order = file.order;
      section(*file.top, draft);
    }
  }
  CheckFormulas(draft);
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
  ReadAll(files, draft);
  LoadResult result;
  if (reporter.errors() == 0) {
    result.definitions = std::make_shared<const Definitions>(std::move(draft.definitions));
  }
  result.diagnostics = reporter.Take();
  return result;
}

Result<std::vector<SourceText>> ReadSources(Files& files, std::span<const std::string> paths) {
  std::vector<SourceText> sources;
  for (const std::string& path : paths) {
    auto text = ReadWholeFile(files, path);
    if (!text.ok()) return text.status().WithContext("definition file " + path);
    sources.push_back({path, std::move(*text)});
  }
  return sources;
}

LoadResult LoadDefinitionFiles(Files& files, std::span<const std::string> paths) {
  std::vector<SourceText> sources;
  std::vector<Diagnostic> unreadable;
  for (const std::string& path : paths) {
    auto text = ReadWholeFile(files, path);
    if (text.ok()) {
      sources.push_back({path, std::move(*text)});
      continue;
    }
    Diagnostic diagnostic;
    diagnostic.file = path;
    diagnostic.message = "cannot be read: " + text.status().message();
    diagnostic.hint = "check the path and its permissions";
    unreadable.push_back(std::move(diagnostic));
  }
  LoadResult result = LoadDefinitions(sources);
  if (unreadable.empty()) return result;
  result.definitions = nullptr;
  result.diagnostics.insert(result.diagnostics.begin(), unreadable.begin(), unreadable.end());
  return result;
}

}  // namespace proofdrive::decoders
