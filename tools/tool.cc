#include <unistd.h>

#include <CLI/CLI.hpp>
#include <algorithm>
#include <exception>
#include <iostream>

#include "core/base/posix_files.h"
#include "core/base/text.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

constexpr char kDescription[] =
    "Proofdrive: what a repair changed, read from the vehicle's own network.\n"
    "Recordings only show what was sent. Treat the pack and everything orange as live; follow the\n"
    "maker's instructions, local codes, and let licensed people do what they require.";

int Usage(Environment& environment, const std::string& message) {
  environment.err << "proofdrive: " << message << "\n";
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

int ParseAndRun(int argc, const char* const* argv, Environment& environment) {
  CLI::App app(kDescription, "proofdrive");
  app.require_subcommand(1);
  app.set_version_flag("--version", PROOFDRIVE_VERSION);
  std::vector<std::unique_ptr<Command>> commands = AllCommands();
  for (const auto& command : commands) {
    CLI::App* sub = app.add_subcommand(command->name(), command->summary());
    sub->footer("Example:\n  " + command->example());
    command->AddOptions(*sub);
  }
  try {
    app.parse(argc, argv);
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
    if (app.got_subcommand(command->name())) return RunCommand(*command, environment);
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
