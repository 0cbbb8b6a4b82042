#include <unistd.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <exception>
#include <iostream>
#include <map>
#include <type_traits>
#include <variant>

#include "core/base/posix_files.h"
#include "core/base/text.h"
#include "session/model/names.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

constexpr char kDescription[] =
    "Proofdrive: what a repair changed, read from the vehicle's own network.\n"
    "Recordings only show what was sent. Treat the pack and everything orange as live; follow the\n"
    "maker's instructions, local codes, and let licensed people do what they require.";

int Usage(Environment& environment, const std::string& message) {
  environment.err << "proofdrive: " << PrintableLines(message, "") << "\n";
  return static_cast<int>(ExitCode::kUsage);
}

int RunCommand(Command& command, Environment& environment) {
  const Result<ExitCode> result = command.Run(environment);
  if (!result.ok()) return Usage(environment, result.status().message());
  environment.out.flush();
  if (!environment.out) return Usage(environment, "the output could not be written completely");
  return static_cast<int>(*result);
}

// Why the command line, of which `word` is the first, cannot be used, and where help is.
std::string WrongUse(const std::vector<std::unique_ptr<Command>>& commands, const std::string& word,
                     const std::string& why) {
  std::vector<std::string> names;
  for (const auto& command : commands) names.push_back(command->name());
  const bool known = std::find(names.begin(), names.end(), word) != names.end();
  if (known) return why + "\nTry: proofdrive " + word + " --help";
  if (word.empty()) return "no command is given\nTry: proofdrive --help";
  if (word.starts_with('-')) return why + "\nTry: proofdrive --help";
  const std::string nearest = NearestName(word, names);
  return "there is no command \"" + Printable(word) + "\"" +
         (nearest.empty() ? "" : "; did you mean " + nearest + "?") + "\nTry: proofdrive --help";
}

CLI::Option* AddTo(CLI::App& app, const Option& option) {
  const auto add = [&](auto* place) -> CLI::Option* {
    using Place = std::remove_pointer_t<decltype(place)>;
    if constexpr (std::is_same_v<Place, bool>) {
      return app.add_flag(option.name, *place, option.meaning);
    } else if constexpr (std::is_same_v<Place, OptionalText>) {
      return app.add_option(option.name, place->value, option.meaning)->expected(0, 1);
    } else if constexpr (std::is_same_v<Place, std::string>) {
      return app.add_option(option.name, *place, option.meaning);
    } else {
      CLI::Option* const list = app.add_option(option.name, *place, option.meaning);
      return option.is_word() ? list : list->allow_extra_args(false);
    }
  };
  return std::visit(add, option.place);
}

void AddAll(CLI::App& app, const OptionList& options) {
  for (const Option& option : options.options()) {
    CLI::Option* const added = AddTo(app, option);
    if (option.required) added->required();
    if (option.separator != 0) added->delimiter(option.separator);
    if (!option.choices.empty()) added->check(CLI::IsMember(option.choices));
    if (!option.value_name.empty()) added->type_name(option.value_name);
  }
  if (!options.commands().empty()) app.require_subcommand(1);
  for (const OptionList::Below& below : options.commands()) {
    CLI::App* const sub = app.add_subcommand(below.name, below.summary);
    sub->footer("Example:\n  " + below.example);
    AddAll(*sub, below.options);
  }
}

// Tells switches of commands and options without a value what was given.
void TakeGiven(const CLI::App& app, const OptionList& options) {
  for (const Option& option : options.options()) {
    if (OptionalText* const* place = std::get_if<OptionalText*>(&option.place)) {
      (*place)->given = app.count(option.name) > 0;
    }
  }
  for (const OptionList::Below& below : options.commands()) {
    const CLI::App* const sub = app.get_subcommand(below.name);
    *below.chosen = sub->parsed();
    TakeGiven(*sub, below.options);
  }
}

// A session right behind "proofdrive COMMAND --json" is the one to read, not the file to write.
std::vector<const char*> WordsInOrder(int argc, const char* const* argv) {
  std::vector<const char*> words(argv, argv + argc);
  const bool first = words.size() > 3 && std::string_view(words[2]) == "--json";
  if (first && std::string_view(words[3]).ends_with(session::kSessionEnding)) {
    std::rotate(words.begin() + 2, words.begin() + 3, words.end());
  }
  return words;
}

int ParseAndRun(int argc, const char* const* argv, Environment& environment) {
  CLI::App app(kDescription, "proofdrive");
  app.require_subcommand(1);
  app.set_version_flag("--version", PROOFDRIVE_VERSION);
  std::vector<std::unique_ptr<Command>> commands = AllCommands();
  std::map<std::string, OptionList> options;
  for (const auto& command : commands) {
    CLI::App* sub = app.add_subcommand(command->name(), command->summary());
    sub->footer("Example:\n  " + command->example());
    OptionList& list = options[command->name()];
    command->AddOptions(list);
    AddAll(*sub, list);
  }
  try {
    const auto words = WordsInOrder(argc, argv);
    app.parse(argc, words.data());
  } catch (const CLI::CallForHelp&) {
    environment.out << app.help();  // of the command given, if any
    return static_cast<int>(ExitCode::kDone);
  } catch (const CLI::CallForVersion&) {
    environment.out << "proofdrive " << PROOFDRIVE_VERSION << "\n";
    return static_cast<int>(ExitCode::kDone);
  } catch (const CLI::ParseError& error) {
    return Usage(environment, WrongUse(commands, argc > 1 ? argv[1] : "", error.what()));
  }
  for (const auto& command : commands) {
    if (!app.got_subcommand(command->name())) continue;
    TakeGiven(*app.get_subcommand(command->name()), options[command->name()]);
    return RunCommand(*command, environment);
  }
  return Usage(environment, "no command given");
}

}  // namespace

int RunTool(int argc, const char* const* argv, Environment& environment) {
  try {
    return ParseAndRun(argc, argv, environment);
  } catch (const std::exception& error) {  // a library below threw: say so, never crash
    return Usage(environment, std::string("internal error: ") + error.what());
  }
}

int ToolMain(int argc, char** argv) {
  PosixFiles files;
  Environment environment{files, std::cout, std::cerr, ::isatty(STDERR_FILENO) == 1};
  return RunTool(argc, argv, environment);
}

}  // namespace proofdrive::tools
