#include "output/survey/draft.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <optional>
#include <set>

#include "core/base/text.h"
#include "core/frame/frame.h"
#include "decoders/language/where_parser.h"
#include "output/sheet/table.h"

namespace proofdrive::output {
namespace {

using analysis::survey::Answers;
using analysis::survey::ChecksumModel;
using analysis::survey::Field;
using analysis::survey::FieldKind;
using analysis::survey::FoundFrame;
using analysis::survey::Partner;
using decoders::FormatLocation;

std::string Hex(std::uint64_t value, int digits = 2) {
  char text[24];
  std::snprintf(text, sizeof(text), "0x%0*llX", digits, static_cast<unsigned long long>(value));
  return text;
}

std::string Significant(double value) {
  char text[32];
  std::snprintf(text, sizeof(text), "%.4g", value);
  return FormatDouble(std::stod(text));
}

// Letters, digits and underscores, not beginning with a digit.
std::string AsName(const std::string& text) {
  std::string name;
  for (const char c : text) {
    const bool plain = (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
    name += plain ? c : '_';
  }
  return name.empty() || (name[0] >= '0' && name[0] <= '9') ? "x" + name : name;
}

std::string Comment(const std::string& indent, const std::string& text) {
  std::string result;
  for (const std::string& line : Wrap(Printable(text), kPageWidth - indent.size() - 2)) {
    result += indent + "# " + line + "\n";
  }
  return result;
}

class Names {
 public:
  explicit Names(const std::vector<std::string>& taken) : taken_(taken.begin(), taken.end()) {}
  std::string Take(const std::string& wanted) {
    std::string name = wanted;
    for (int i = 2; !taken_.insert(name).second; ++i) name = wanted + "_" + std::to_string(i);
    return name;
  }

 private:
  std::set<std::string> taken_;
};

std::string PlaceName(const FoundFrame& frame, const Field& field) {
  const decoders::Piece& first = field.location.pieces.front();
  std::string name = "id" + FormatId(frame.id, frame.extended ? kExtendedId : 0);
  if (frame.page) name += "_page" + std::to_string(*frame.page);
  name += "_byte" + std::to_string(first.byte);
  if (first.count < 8) name += "_bit" + std::to_string(first.lowest_bit);
  return name;
}

// The first accepted answer about this field, and whether it is the best one of its reference.
struct Meaning {
  const Partner* partner = nullptr;
  bool best = false;
};

Meaning MeaningOf(const FoundFrame& frame, const Field& field, const Answers& answers) {
  for (const auto& answer : answers.follows) {
    for (const Partner& partner : answer.partners) {
      if (!partner.accepted || partner.field.id != frame.id || partner.field.bus != frame.bus ||
          partner.field.page != frame.page || !(partner.field.location == field.location)) {
        continue;
      }
      return {&partner, &partner == &answer.partners.front()};
    }
  }
  return {};
}

std::string ScaleKeys(const Partner& partner) {
  // A sensible scale only when there is no other one as near.
  const double scale = partner.nice_scales.size() == 1 ? partner.nice_scales[0] : partner.scale;
  return ", scale: " + Significant(scale) + ", offset: " + Significant(partner.offset);
}

std::string SignalText(const FoundFrame& frame, const Field& field, const Answers& answers,
                       const std::string& indent, Names& names) {
  const Meaning meaning = MeaningOf(frame, field, answers);
  std::string text = Comment(indent, std::string(FieldKindName(field.kind)) + ": " + field.why);
  if (!field.settle.empty()) text += Comment(indent, "would settle it: " + field.settle);
  std::string name = PlaceName(frame, field);
  std::string keys = "where: \"" + FormatLocation(field.location) + "\"";
  if (field.is_signed == true) keys += ", signed: yes";
  if (meaning.partner != nullptr) {
    text += Comment(indent, "follows " + meaning.partner->reference + ": r2 " +
                                Significant(meaning.partner->r2) + ", scale " +
                                Significant(meaning.partner->scale) + " +- " +
                                Significant(2 * meaning.partner->scale_error));
    if (meaning.best) name = AsName(meaning.partner->reference);
    keys += ScaleKeys(*meaning.partner);
  }
  return text + indent + names.Take(name) + ": {" + keys + "}\n";
}

std::optional<std::string> ChecksumKeys(const ChecksumModel& model) {
  if (model.kind == "xor" || model.kind == "sum-8") {
    if (model.constant != 0) return std::nullopt;
    return "kind: " + model.kind;
  }
  if (model.kind == "crc-8-sae-j1850" || model.kind == "crc-8-h2f") return "kind: " + model.kind;
  if (model.kind == "crc-8") {
    return "kind: crc-8, polynomial: " + Hex(model.polynomial) +
           ", final xor: " + Hex(model.constant);
  }
  return std::nullopt;
}

std::string ChecksumLines(const FoundFrame& frame) {
  const auto& checksum = *frame.checksum;
  const std::string where = FormatLocation(checksum.location);
  std::string others;
  std::optional<std::string> keys;
  for (const ChecksumModel& model : checksum.models) {
    if (!keys) {
      keys = ChecksumKeys(model);
      if (keys) continue;
    }
    others += (others.empty() ? "" : ", ") + model.kind + " constant " + Hex(model.constant);
  }
  if (!keys) return Comment("    ", "checksum at " + where + ": " + others);
  std::string text;
  if (!others.empty()) text += Comment("    ", "checksum: as good would be " + others);
  return text + "    checksum: {where: " + where + ", " + *keys + ", over: bytes " +
         std::to_string(checksum.first_byte) + "-" + std::to_string(checksum.last_byte) + "}\n";
}

std::string Head(const FoundFrame& frame, const std::string& name) {
  std::string text = "  " + name + ":\n";
  if (!frame.bus.empty()) text += "    bus: " + frame.bus + "\n";
  text += "    id: " + Hex(frame.id, frame.extended ? 8 : 3) + "\n";
  if (frame.extended) text += "    extended: yes\n";
  const double period_ms = frame.period_s * 1000;
  if (period_ms >= 1) text += "    every: " + std::to_string(std::lround(period_ms)) + " ms\n";
  return text + "    length: " + std::to_string(frame.length) + "\n";
}

DraftFrame MakeFrame(const FoundFrame& frame, const std::vector<const FoundFrame*>& pages,
                     const Answers& answers, Names& names) {
  DraftFrame draft{frame.bus, frame.id, frame.extended, "", "", "", !pages.empty()};
  draft.name = "id" + FormatId(frame.id, frame.extended ? kExtendedId : 0);
  draft.text = Head(frame, names.Take(draft.name));
  for (const Field& field : frame.fields) {
    draft.signals += SignalText(frame, field, answers, "      ", names);
  }
  if (frame.selector) draft.text += "    page: {where: " + FormatLocation(*frame.selector) + "}\n";
  if (!draft.signals.empty()) draft.text += "    signals:\n" + draft.signals;
  std::string page_text;
  for (const FoundFrame* page : pages) {
    if (page->fields.empty()) continue;
    page_text += "      " + std::to_string(*page->page) + ":\n        signals:\n";
    for (const Field& field : page->fields) {
      page_text += SignalText(*page, field, answers, "          ", names);
    }
  }
  if (!page_text.empty()) draft.text += "    pages:\n" + page_text;
  if (frame.counter) {
    draft.text += "    counter: {where: " + FormatLocation(frame.counter->location) +
                  ", counts to: " + std::to_string(frame.counter->counts_to) + "}\n";
  }
  if (frame.checksum) draft.text += ChecksumLines(frame);
  return draft;
}

// The line that begins with `begin`, as a position in `text` after its end.
std::optional<std::size_t> AfterLine(const std::string& text, const std::string& begin,
                                     std::size_t from, std::size_t until) {
  for (std::size_t at = from; at < until;) {
    const std::size_t end = std::min(text.find('\n', at), text.size() - 1) + 1;
    const std::string_view line = std::string_view(text).substr(at, end - at);
    const std::string_view rest = line.starts_with(begin) ? line.substr(begin.size()) : "x";
    const std::string_view words = Trim(rest);
    if (words.empty() || words.starts_with('#')) return end;
    at = end;
  }
  return std::nullopt;
}

// Where the block of a frame ends: at the next line that is indented by two blanks or less.
std::size_t EndOfFrame(const std::string& text, std::size_t from) {
  for (std::size_t at = from; at < text.size();) {
    const std::size_t end = std::min(text.find('\n', at), text.size() - 1) + 1;
    const std::string_view line = std::string_view(text).substr(at, end - at);
    const bool blank = Trim(line).empty() || Trim(line).starts_with('#');
    if (!blank && !line.starts_with("   ")) return at;
    at = end;
  }
  return text.size();
}

const decoders::FrameDefinition* DefinitionFor(const decoders::Definitions& definitions,
                                               const DraftFrame& frame) {
  for (const auto& definition : definitions.frames) {
    if (definition.id == frame.id && definition.extended == frame.extended &&
        (definition.bus.empty() || frame.bus.empty() || definition.bus == frame.bus)) {
      return &definition;
    }
  }
  return nullptr;
}

}  // namespace

std::vector<DraftFrame> DraftFrames(const std::vector<FoundFrame>& found, const Answers& answers,
                                    const std::vector<std::string>& taken) {
  Names names(taken);
  std::vector<DraftFrame> frames;
  for (std::size_t i = 0; i < found.size(); ++i) {
    if (found[i].page) continue;
    std::vector<const FoundFrame*> pages;
    for (std::size_t k = i + 1; k < found.size() && found[k].page; ++k) pages.push_back(&found[k]);
    const bool any =
        !found[i].fields.empty() || found[i].counter || found[i].checksum || !pages.empty();
    if (any) frames.push_back(MakeFrame(found[i], pages, answers, names));
  }
  return frames;
}

std::string NewDraft(const std::vector<DraftFrame>& frames) {
  std::set<std::string> buses;
  for (const DraftFrame& frame : frames) {
    if (!frame.bus.empty()) buses.insert(frame.bus);
  }
  std::string text =
      "# Draft of a survey: places that bits were seen to belong together in. Names, units and\n"
      "# scales are yours to find; what you write here is kept when the survey adds to this file.\n"
      "vehicle: unnamed\nknown from: survey\n";
  if (!buses.empty()) text += "buses:\n";
  for (const std::string& bus : buses) text += "  " + bus + ": {}\n";
  text += "frames:\n";
  for (const DraftFrame& frame : frames) text += frame.text;
  return text;
}

std::string ExtendedDraft(const std::string& text, const decoders::Definitions& definitions,
                          const std::vector<DraftFrame>& frames,
                          std::vector<std::string>& left_out) {
  std::string result = text;
  if (!result.empty() && result.back() != '\n') result += '\n';
  std::string new_frames;
  for (const DraftFrame& frame : frames) {
    const auto* definition = DefinitionFor(definitions, frame);
    if (definition == nullptr) {
      new_frames += frame.text;
      continue;
    }
    if (frame.signals.empty()) continue;
    const auto head = AfterLine(result, "  " + definition->name + ":", 0, result.size());
    const auto place =
        head ? AfterLine(result, "    signals:", *head, EndOfFrame(result, *head)) : std::nullopt;
    if (!place) {
      left_out.push_back(definition->name);
      continue;
    }
    result.insert(*place, frame.signals);
  }
  if (new_frames.empty()) return result;
  const auto place = AfterLine(result, "frames:", 0, result.size());
  if (!place) {
    left_out.push_back("frames");
    return result;
  }
  return result.insert(*place, new_frames);
}

}  // namespace proofdrive::output
