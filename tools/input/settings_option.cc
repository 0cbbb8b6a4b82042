#include "tools/input/settings_option.h"

#include <CLI/CLI.hpp>

namespace proofdrive::tools {

void AddSettingsOption(CLI::App& app, std::vector<std::string>& assignments) {
  app.add_option("--set", assignments,
                 "A fact about the car or a limit of a check, NAME=VALUE (docs/checks.md); "
                 "repeatable")
      ->allow_extra_args(false);
}

Result<analysis::CheckSettings> SettingsOf(const std::vector<std::string>& assignments) {
  analysis::CheckSettings settings;
  for (const std::string& assignment : assignments) RETURN_IF_ERROR(settings.Set(assignment));
  return settings;
}

}  // namespace proofdrive::tools
