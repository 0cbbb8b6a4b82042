#include "analysis/session/definition_set.h"

#include <algorithm>

#include "decoders/language/loader.h"

namespace proofdrive::analysis {
namespace {

bool SameTexts(const session::Header& a, const session::Header& b) {
  return std::equal(a.definitions.begin(), a.definitions.end(), b.definitions.begin(),
                    b.definitions.end(),
                    [](const auto& x, const auto& y) { return x.text == y.text; });
}

}  // namespace

std::string_view DefinitionOriginName(DefinitionOrigin origin) {
  switch (origin) {
    case DefinitionOrigin::kNone:
      return "none";
    case DefinitionOrigin::kGiven:
      return "given";
    case DefinitionOrigin::kStored:
      return "stored";
    case DefinitionOrigin::kOtherSession:
      return "other session";
  }
  return "";
}

DefinitionSet DefinitionsFor(Files& files, std::span<const std::string> given,
                             const session::Header& header) {
  DefinitionSet set;
  decoders::LoadResult loaded;
  if (!given.empty()) {
    set.origin = DefinitionOrigin::kGiven;
    loaded = decoders::LoadDefinitionFiles(files, given);
  } else if (!header.definitions.empty()) {
    set.origin = DefinitionOrigin::kStored;
    std::vector<decoders::SourceText> texts;
    for (const session::DefinitionText& text : header.definitions) {
      texts.push_back({text.path, text.text});
    }
    loaded = decoders::LoadDefinitions(texts);
  }
  set.definitions = loaded.definitions;
  set.diagnostics = std::move(loaded.diagnostics);
  return set;
}

ComparisonDefinitions DefinitionsForComparison(Files& files, std::span<const std::string> given,
                                               const session::Header& before,
                                               const session::Header& after) {
  ComparisonDefinitions chosen;
  const bool after_has = !given.empty() || !after.definitions.empty();
  DefinitionSet& own = after_has ? chosen.for_after : chosen.for_before;
  DefinitionSet& other = after_has ? chosen.for_before : chosen.for_after;
  own = DefinitionsFor(files, given, after_has ? after : before);
  other.definitions = own.definitions;
  other.origin = own.origin;
  if (own.origin != DefinitionOrigin::kStored || SameTexts(before, after)) return chosen;
  other.origin = DefinitionOrigin::kOtherSession;
  if (own.definitions == nullptr || !after_has) return chosen;
  const DefinitionSet old = DefinitionsFor(files, {}, before);
  if (old.definitions == nullptr) return chosen;
  for (const decoders::Warning& warning : old.definitions->warnings) {
    if (!own.definitions->FindWarning(warning.name)) chosen.only_stored_before.push_back(warning);
  }
  return chosen;
}

std::vector<decoders::ChannelBus> ChannelBuses(const session::Header& header) {
  std::vector<decoders::ChannelBus> buses;
  for (const session::Channel& channel : header.channels) {
    buses.push_back({channel.number, channel.bus});
  }
  return buses;
}

}  // namespace proofdrive::analysis
