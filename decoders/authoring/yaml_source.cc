#include "decoders/authoring/yaml_source.h"

#include <exception>
#include <sstream>
#include <unordered_map>
#include <utility>

#include "core/base/text.h"
#include "yaml-cpp/eventhandler.h"
#include "yaml-cpp/exceptions.h"
#include "yaml-cpp/parser.h"

namespace proofdrive::decoders {
namespace {

constexpr std::size_t kDeepest = 16;

// Ends parsing from within a callback of the YAML library; never leaves this file.
struct StopParsing {};

struct Translation {
  std::string_view theirs;  // part of the message of the YAML library
  std::string_view message;
  std::string_view hint;
};
constexpr Translation kTranslations[] = {
    {"end of map flow", "a { is not closed",
     "add the } before this; formulas with [ ] need quotes"},
    {"end of sequence flow", "a [ is not closed", "add the ] before this"},
    {"end of map not found", "this does not belong to what is above it",
     "check the indentation, and that every quote is closed"},
    {"end of sequence not found", "this does not belong to the list above it",
     "check the indentation"},
    {"illegal map value", "a value cannot stand here",
     "check the indentation; text with : in it needs quotes"},
    {"referenced anchor", "references with \"*\" are not used here",
     "write the value out; put text that starts with * in quotes"},
};

// "unit: %": YAML keeps some characters for itself at the beginning of a value. The value that
// begins at or before `mark`, in quotes; empty when that is not the fault.
std::string QuotedInstead(const Mark& mark, std::string_view line) {
  if (mark.column == 0 || mark.column > line.size()) return "";
  const std::string_view value = line.substr(mark.column - 1);
  if (std::string_view("%@`").find(value.front()) == std::string_view::npos) return "";
  return "\"" + std::string(Trim(value.substr(0, value.find_first_of(",}#")))) + "\"";
}

// The fault of the library in our words.
void ReportSyntax(const YAML::ParserException& error, const Mark& mark, std::string_view line,
                  Reporter& reporter) {
  const std::size_t text = line.find_first_not_of(" \t");
  const bool has_tab = line.substr(0, text).find('\t') != std::string_view::npos;
  const std::string tab_hint = has_tab ? "indent with spaces, not tabs" : "";
  if (const std::string quoted = QuotedInstead(mark, line); !quoted.empty()) {
    reporter.Error(mark, "text that begins with " + quoted.substr(1, 1) + " needs quotes",
                   "write " + quoted);
    return;
  }
  for (const Translation& translation : kTranslations) {
    if (error.msg.find(translation.theirs) == std::string::npos) continue;
    reporter.Error(mark, std::string(translation.message),
                   has_tab ? tab_hint : std::string(translation.hint));
    return;
  }
  reporter.Error(mark, "not readable as YAML: " + error.msg,
                 has_tab ? tab_hint : "check indentation, colons and quotes");
}

// The library takes the end of the file as the end of a quoted text. True when the quote that opens
// at `at` has no partner.
bool QuoteIsOpen(std::string_view text, std::size_t at) {
  const char quote = text[at];
  for (std::size_t i = at + 1; i < text.size(); ++i) {
    if (quote == '"' && text[i] == '\\') {
      ++i;
    } else if (text[i] == quote) {
      return false;
    }
  }
  return true;
}

// Builds the tree. A mapping that is open expects a key, then a value, in turn.
class TreeBuilder : public YAML::EventHandler {
 public:
  TreeBuilder(const SourceText& source, std::uint32_t file, Reporter& reporter)
      : text_(source.text), file_(file), reporter_(reporter) {}

  YamlNode Take() { return std::move(root_); }
  Mark MarkOf(const YAML::Mark& mark) const {
    return {file_, static_cast<std::uint32_t>(mark.line + 1),
            static_cast<std::uint32_t>(mark.column + 1)};
  }

  void OnDocumentStart(const YAML::Mark&) override {}
  void OnDocumentEnd() override {}
  void OnNull(const YAML::Mark& mark, YAML::anchor_t) override {
    Put(YamlNode::Kind::kEmpty, mark, {}, false);
  }
  void OnAlias(const YAML::Mark& mark, YAML::anchor_t) override {
    reporter_.Error(MarkOf(mark), "references with \"*\" are not used here", "write the value out");
    throw StopParsing();
  }
  void OnAnchor(const YAML::Mark& mark, const std::string&) override {
    reporter_.Error(MarkOf(mark), "names with \"&\" are not used here",
                    "write the value out; put text that starts with & in quotes");
    throw StopParsing();
  }
  void OnScalar(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t,
                const std::string& value) override {
    CheckTag(mark, tag);
    if (tag == "!") CheckQuote(mark);
    Put(YamlNode::Kind::kText, mark, value, tag == "!");
  }
  void OnSequenceStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t,
                       YAML::EmitterStyle::value) override {
    CheckTag(mark, tag);
    Open(YamlNode::Kind::kList, mark);
  }
  void OnSequenceEnd() override { open_.pop_back(); }
  void OnMapStart(const YAML::Mark& mark, const std::string& tag, YAML::anchor_t,
                  YAML::EmitterStyle::value) override {
    CheckTag(mark, tag);
    Open(YamlNode::Kind::kMapping, mark);
  }
  void OnMapEnd() override {
    std::erase_if(open_.back().node->children,
                  [](const YamlNode& child) { return child.repeats_key; });
    open_.pop_back();
  }

 private:
  struct Level {
    YamlNode* node = nullptr;
    bool has_key = false;
    bool repeats_key = false;
    std::string key;
    Mark key_mark;
    std::unordered_map<std::string, Mark> seen;
  };

  void CheckTag(const YAML::Mark& mark, const std::string& tag) {
    if (tag.empty() || tag == "?" || tag == "!") return;
    reporter_.Error(MarkOf(mark), "tags with \"!\" are not used here",
                    "put text that starts with ! in quotes");
    throw StopParsing();
  }

  void CheckQuote(const YAML::Mark& mark) {
    const auto at = static_cast<std::size_t>(mark.pos);
    if (at >= text_.size() || (text_[at] != '"' && text_[at] != '\'')) return;
    if (!QuoteIsOpen(text_, at)) return;
    reporter_.Error(MarkOf(mark), "a quote is not closed", "add the closing quote on this line");
    throw StopParsing();
  }

  void Open(YamlNode::Kind kind, const YAML::Mark& mark) {
    YamlNode* node = Put(kind, mark, {}, false);
    if (open_.size() == kDeepest) {
      reporter_.Error(MarkOf(mark), "nested too deeply", "definition files need few levels");
      throw StopParsing();
    }
    Level level;
    level.node = node;
    open_.push_back(std::move(level));
  }

  // Adds a value to the innermost open list or mapping, or takes it as the next key.
  YamlNode* Put(YamlNode::Kind kind, const YAML::Mark& mark, const std::string& text, bool quoted) {
    YamlNode node;
    node.kind = kind;
    node.mark = MarkOf(mark);
    node.text = text;
    node.quoted = quoted;
    if (open_.empty()) {
      root_ = std::move(node);
      return &root_;
    }
    Level& level = open_.back();
    if (level.node->kind == YamlNode::Kind::kMapping) {
      if (!level.has_key) {
        TakeKey(level, node);
        return nullptr;
      }
      level.has_key = false;
      node.key = level.key;
      node.key_mark = level.key_mark;
      node.repeats_key = level.repeats_key;
      if (kind == YamlNode::Kind::kEmpty) node.mark = level.key_mark;
    }
    level.node->children.push_back(std::move(node));
    return &level.node->children.back();
  }

  void TakeKey(Level& level, const YamlNode& node) {
    if (node.kind != YamlNode::Kind::kText) {
      reporter_.Error(node.mark, "a key must be a single word or number",
                      "did you forget quotes around text with { or [ ?");
      throw StopParsing();
    }
    level.has_key = true;
    level.key = node.text;
    level.key_mark = node.mark;
    const auto [first, is_new] = level.seen.emplace(node.text, node.mark);
    level.repeats_key = !is_new;
    if (!is_new) {
      reporter_.Error(
          node.mark, "\"" + node.text + "\" is given twice",
          "the first one is in line " + std::to_string(first->second.line) + "; keep one of them");
    }
  }

  std::string_view text_;
  std::uint32_t file_;
  Reporter& reporter_;
  YamlNode root_;
  std::vector<Level> open_;
};

// UTF-16 has bytes of 0, but begins with a mark.
bool IsText(const std::string& text) {
  const bool marked = text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF");
  return marked || text.find('\0') == std::string::npos;
}

}  // namespace

Mark YamlNode::At(std::size_t offset) const {
  Mark place = mark;
  if (text.find('\n') == std::string::npos) {
    place.column += static_cast<std::uint32_t>(offset + (quoted ? 1 : 0));
  }
  return place;
}

std::optional<YamlNode> ParseYaml(const SourceText& source, std::uint32_t file,
                                  Reporter& reporter) {
  const Mark whole_file{file, 0, 0};
  if (source.text.size() > kMostYamlBytes) {
    reporter.Error(whole_file, "larger than 8 MiB, which is no definition file",
                   "give the path of a YAML file");
    return std::nullopt;
  }
  if (!IsText(source.text)) {
    reporter.Error(whole_file, "is not text",
                   "give the path of a YAML file; a session is given with --against");
    return std::nullopt;
  }
  TreeBuilder builder(source, file, reporter);
  try {
    std::istringstream stream(source.text);
    YAML::Parser parser(stream);
    if (!parser.HandleNextDocument(builder)) {
      reporter.Error(whole_file, "is empty", "start with a vehicle: and frames:");
      return std::nullopt;
    }
    YamlNode root = builder.Take();
    TreeBuilder rest(source, file, reporter);
    if (parser.HandleNextDocument(rest)) {
      reporter.Error(rest.Take().mark, "a second document starts here",
                     "remove the line with --- or use a second file");
      return std::nullopt;
    }
    return root;
  } catch (const StopParsing&) {
    return std::nullopt;
  } catch (const YAML::ParserException& error) {
    const Mark mark = error.mark.is_null() ? whole_file : builder.MarkOf(error.mark);
    ReportSyntax(error, mark, reporter.Line(mark), reporter);
    return std::nullopt;
  } catch (const std::exception& error) {
    reporter.Error(whole_file, std::string("not readable as YAML: ") + error.what());
    return std::nullopt;
  }
}

}  // namespace proofdrive::decoders
