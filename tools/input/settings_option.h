// The option --set of every command that runs checks.
#pragma once

#include <string>
#include <vector>

#include "analysis/checking/settings.h"
#include "core/base/result.h"
#include "tools/shell/option_list.h"

namespace proofdrive::tools {

// `assignments` receives each NAME=VALUE and must outlive `options`.
void AddSettingsOption(OptionList& options, std::vector<std::string>& assignments);

// Defaults with these assignments; the message of an error says how to write it.
Result<analysis::CheckSettings> SettingsOf(const std::vector<std::string>& assignments);

}  // namespace proofdrive::tools
