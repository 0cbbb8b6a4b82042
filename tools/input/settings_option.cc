#include "tools/input/settings_option.h"

namespace proofdrive::tools {

void AddSettingsOption(OptionList& options, std::vector<std::string>& assignments) {
  options.Add("--set", &assignments,
              "A fact about the car or a limit of a check, NAME=VALUE (docs/checks.md); "
              "repeatable");
}

Result<analysis::CheckSettings> SettingsOf(const std::vector<std::string>& assignments) {
  analysis::CheckSettings settings;
  for (const std::string& assignment : assignments) RETURN_IF_ERROR(settings.Set(assignment));
  return settings;
}

}  // namespace proofdrive::tools
