#include "daemon/options/config_file.h"

#include <optional>

#include "core/base/files.h"
#include "core/base/text.h"
#include "decoders/authoring/yaml_source.h"

namespace proofdrive::daemon {
namespace {

using decoders::Reporter;
using decoders::YamlNode;

std::vector<std::string> KeyNames() {
  std::vector<std::string> names;
  for (const OptionRule& rule : OptionRules()) names.emplace_back(rule.name);
  return names;
}

std::string Example(const OptionRule& rule) {
  return "for example " + std::string(rule.name) + ": " +
         std::string(rule.is_switch() ? "yes" : rule.example);
}

class ConfigReader {
 public:
  ConfigReader(const decoders::SourceText& source, Reporter& reporter)
      : folder_(DirectoryOf(source.path)), reporter_(reporter) {}

  std::optional<Setting> Read(const YamlNode& node) const {
    const OptionRule* rule = FindOption(node.key);
    if (rule == nullptr) {
      ReportUnknown(node);
      return std::nullopt;
    }
    Setting setting{rule, {}, {}, node.key_mark};
    if (node.kind == YamlNode::Kind::kList && rule->repeats) {
      for (const YamlNode& child : node.children) AddValue(child, setting);
    } else {
      AddValue(node, setting);
    }
    if (setting.values.empty()) return std::nullopt;
    return setting;
  }

 private:
  void ReportUnknown(const YamlNode& node) const {
    const std::string nearest = NearestName(node.key, KeyNames());
    reporter_.Error(node.key_mark, "there is no option \"" + node.key + "\"",
                    nearest.empty() ? "proofdrived --example-config shows all of them"
                                    : "did you mean \"" + nearest + "\"?");
  }

  void AddValue(const YamlNode& node, Setting& setting) const {
    const OptionRule& rule = *setting.rule;
    if (node.kind == YamlNode::Kind::kEmpty) {
      reporter_.Error(node.mark, "the value is missing", Example(rule));
    } else if (node.kind != YamlNode::Kind::kText) {
      reporter_.Error(node.mark, rule.repeats ? "each value must be one text" : "takes one value",
                      Example(rule));
    } else if (rule.is_switch() && node.text != "yes" && node.text != "no") {
      reporter_.Error(node.mark, "\"" + node.text + "\" is neither yes nor no");
    } else if (!rule.is_switch() || node.text == "yes") {
      setting.values.push_back(rule.is_path ? Place(node.text) : node.text);
      setting.marks.push_back(node.mark);
    }
  }

  std::string Place(const std::string& path) const {
    const bool absolute = path.starts_with('/');
    return absolute || path.empty() || folder_ == "." ? path : folder_ + "/" + path;
  }

  const std::string folder_;
  Reporter& reporter_;
};

bool HasContent(std::string_view text) {
  for (const std::string& line : Split(text, '\n')) {
    const std::string_view content = Trim(line);
    if (!content.empty() && !content.starts_with('#')) return true;
  }
  return false;
}

// Lines of comment of at most 80 characters.
std::string Comment(std::string_view text) {
  constexpr std::size_t kWidth = 78;
  std::string comment;
  std::string line;
  for (const std::string& word : Split(text, ' ')) {
    if (!line.empty() && line.size() + 1 + word.size() > kWidth) {
      comment += "# " + line + "\n";
      line.clear();
    }
    line += (line.empty() ? "" : " ") + word;
  }
  return comment + "# " + line + "\n";
}

std::string Unquoted(std::string_view markdown) {
  std::string text(markdown);
  std::erase(text, '`');
  return text;
}

std::string ExampleOf(const OptionRule& rule) {
  const std::string value = rule.is_switch() ? "yes" : std::string(rule.example);
  const bool is_source = rule.name == "source";  // without any, there is nothing to do
  return Comment(Unquoted(rule.meaning)) + (is_source ? "" : "#") + std::string(rule.name) + ": " +
         value + "\n";
}

}  // namespace

std::vector<Setting> ReadConfig(const decoders::SourceText& source, std::uint32_t file,
                                Reporter& reporter) {
  std::vector<Setting> settings;
  if (!HasContent(source.text)) return settings;
  const auto root = decoders::ParseYaml(source, file, reporter);
  if (!root) return settings;
  if (root->kind != YamlNode::Kind::kMapping) {
    reporter.Error(root->mark, "a configuration is a list of lines \"option: value\"",
                   "proofdrived --example-config shows one");
    return settings;
  }
  const ConfigReader reader(source, reporter);
  for (const YamlNode& node : root->children) {
    if (auto setting = reader.Read(node)) settings.push_back(std::move(*setting));
  }
  return settings;
}

std::string ExampleConfig() {
  std::string text =
      "# Configuration of proofdrived. Every key is also an option of the command line, --key,\n"
      "# which wins over this file. Remove the \"#\" before a key to use it. Paths are relative "
      "to\n"
      "# this file. Check it with: proofdrived --config THIS_FILE --check-config\n";
  std::string_view group;
  for (const OptionRule& rule : OptionRules()) {
    if (rule.group != group) text += "\n# ---- " + std::string(rule.group) + " ----\n";
    group = rule.group;
    text += "\n" + ExampleOf(rule);
  }
  return text;
}

std::string OptionReference() {
  std::string text;
  std::string_view group;
  for (const OptionRule& rule : OptionRules()) {
    if (rule.group != group) {
      text += "\n**" + std::string(rule.group) + "**\n\n| option | meaning |\n|---|---|\n";
    }
    group = rule.group;
    text += "| `--" + std::string(rule.name) +
            (rule.is_switch() ? "" : " " + std::string(rule.value)) + "` | " +
            std::string(rule.meaning) + " |\n";
  }
  return text + "\n";
}

}  // namespace proofdrive::daemon
