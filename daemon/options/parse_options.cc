#include "daemon/options/parse_options.h"

#include <CLI/CLI.hpp>
#include <algorithm>

#include "core/base/text.h"
#include "daemon/options/config_file.h"
#include "daemon/options/option_table.h"

namespace proofdrive::daemon {
namespace {

constexpr char kDescription[] =
    "proofdrived: records a vehicle's CAN network and decodes it while it listens.\n"
    "It only listens: no frame is ever sent, unless requests are allowed.";

constexpr char kExample[] =
    "Example:\n"
    "  proofdrived --source bench:coolant-leak@10 \\\n"
    "      --definitions decoders/library/bramble-seven.yaml \\\n"
    "      --sessions recordings --record arrival --stage arrival --for 2min";

constexpr std::uint64_t kLargestConfig = std::uint64_t{1} << 20;

// The words of the command line before they are checked: one entry per row of the option table.
struct Words {
  std::vector<std::vector<std::string>> values;
  std::string config;
  bool check_config = false;
  bool example_config = false;
};

std::string SourceHelp() {
  std::string text;
  for (const SourceKind& kind : SourceKinds()) {
    text += "\n" + std::string(kind.syntax) + ": " + std::string(kind.help);
  }
  return text;
}

std::string HelpOf(const OptionRule& rule) {
  std::string help(rule.meaning);
  std::erase(help, '`');
  return rule.name == "source" ? help + SourceHelp() : help;
}

void AddOptions(CLI::App& app, Words& words) {
  const auto rules = OptionRules();
  words.values.resize(rules.size());
  for (std::size_t i = 0; i < rules.size(); ++i) {
    const OptionRule& rule = rules[i];
    const std::string name = "--" + std::string(rule.name);
    std::vector<std::string>& values = words.values[i];
    CLI::Option* option = nullptr;
    if (rule.is_switch()) {
      option = app.add_flag_callback(
          name, [&values] { values = {"yes"}; }, HelpOf(rule));
    } else {
      option = app.add_option(name, values, HelpOf(rule))
                   ->type_name(std::string(rule.value))
                   ->allow_extra_args(false);
      if (!rule.repeats) option->expected(1)->multi_option_policy(CLI::MultiOptionPolicy::TakeAll);
    }
    option->group(std::string(rule.group));
  }
  const char* const kGroup = "Configuration file";
  app.add_option("--config", words.config,
                 "file with these options; what is given on the command line wins")
      ->type_name("F")
      ->group(kGroup);
  app.add_flag("--check-config", words.check_config,
               "say everything that is wrong with the options, and end")
      ->group(kGroup);
  app.add_flag("--example-config", words.example_config,
               "print a file with every option explained, and end")
      ->group(kGroup);
  app.set_version_flag("--version", PROOFDRIVE_VERSION);
  app.footer(kExample);
}

Status Invalid(const std::string& message) { return Status(ErrorKind::kInvalidArgument, message); }

// Takes the options from both places and collects every mistake.
class Collector {
 public:
  explicit Collector(Files& files) : files_(files) {}

  Status ReadFile(const std::string& path) {
    auto text = ReadWholeFile(files_, path, kLargestConfig);
    if (!text.ok()) return text.status().WithContext("--config");
    source_ = {path, std::move(*text)};
    from_file_ = ReadConfig(source_, reporter_.AddFile(source_), reporter_);
    return Status::Ok();
  }

  void TakeWords(const Words& words) {
    const auto rules = OptionRules();
    for (std::size_t i = 0; i < rules.size(); ++i) {
      if (words.values[i].empty()) continue;
      from_words_.push_back({&rules[i], words.values[i], {}, {}});
      if (words.values[i].size() > 1 && !rules[i].repeats) Mistake(rules[i].name, "is given twice");
    }
  }

  Options Apply() {
    Options options;
    std::vector<std::string_view> given;
    for (const OptionRule& rule : OptionRules()) {
      const Setting* words = FindIn(from_words_, rule);
      const Setting* file = FindIn(from_file_, rule);
      if (words == nullptr && file == nullptr) continue;
      given.push_back(rule.name);
      if (words != nullptr) ApplyOne(*words, options);
      Options unused;  // what the command line overrides is checked all the same
      if (file != nullptr) ApplyOne(*file, words == nullptr ? options : unused);
    }
    for (const OptionMistake& mistake : CheckTogether(options, given)) Locate(mistake);
    return options;
  }

  // All mistakes; empty when there is none.
  std::string Mistakes() {
    std::string text = decoders::FormatDiagnostics(reporter_.Take());
    if (!text.empty()) text.pop_back();
    for (const std::string& mistake : mistakes_) text += (text.empty() ? "" : "\n") + mistake;
    return text;
  }

 private:
  void Mistake(std::string_view option, const std::string& message) {
    mistakes_.push_back("--" + std::string(option) + ": " + message);
  }

  static const Setting* FindIn(const std::vector<Setting>& settings, const OptionRule& rule) {
    const auto found = std::find_if(settings.begin(), settings.end(),
                                    [&](const Setting& one) { return one.rule == &rule; });
    return found == settings.end() ? nullptr : &*found;
  }

  // What is missing everywhere is missing in the file, if there is one.
  void Locate(const OptionMistake& mistake) {
    const OptionRule& rule = *FindOption(mistake.option);
    const Setting* file = FindIn(from_file_, rule);
    if (source_.path.empty() || FindIn(from_words_, rule) != nullptr) {
      Mistake(mistake.option, mistake.message);
    } else {
      reporter_.Error(file != nullptr ? file->key : decoders::Mark{},
                      std::string(mistake.option) + ": " + mistake.message);
    }
  }

  void ApplyOne(const Setting& setting, Options& options) {
    for (std::size_t i = 0; i < setting.values.size(); ++i) {
      const Status status = setting.rule->set(options, setting.values[i]);
      if (status.ok()) continue;
      if (setting.marks.empty()) {
        Mistake(setting.rule->name, status.message());
      } else {
        reporter_.Error(setting.marks[i], status.message());
      }
    }
  }

  Files& files_;
  decoders::SourceText source_;
  decoders::Reporter reporter_;
  std::vector<Setting> from_file_;
  std::vector<Setting> from_words_;
  std::vector<std::string> mistakes_;
};

Result<ParsedOptions> Collect(const Words& words, Files& files) {
  Collector collector(files);
  if (!words.config.empty()) RETURN_IF_ERROR(collector.ReadFile(words.config));
  collector.TakeWords(words);
  Options options = collector.Apply();
  const std::string mistakes = collector.Mistakes();
  if (!mistakes.empty()) return Invalid(mistakes);
  options.config = words.config;
  options.check_config = words.check_config;
  return ParsedOptions{std::nullopt, std::move(options)};
}

ParsedOptions Answer(const std::string& text) { return {text, {}}; }

}  // namespace

Result<ParsedOptions> ParseOptions(int argc, const char* const* argv, Files& files) {
  CLI::App app(kDescription, "proofdrived");
  Words words;
  AddOptions(app, words);
  try {
    app.parse(argc, argv);
  } catch (const CLI::CallForHelp&) {
    return Answer(app.help());
  } catch (const CLI::CallForVersion&) {
    return Answer(std::string("proofdrived ") + PROOFDRIVE_VERSION + "\n");
  } catch (const CLI::ParseError& error) {
    return Invalid(std::string(error.what()) + ". Try: proofdrived --help");
  }
  if (words.example_config) return Answer(ExampleConfig());
  return Collect(words, files);
}

}  // namespace proofdrive::daemon
