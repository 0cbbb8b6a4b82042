// The option --set of every command that runs checks.
#pragma once

#include <string>
#include <vector>

#include "analysis/checking/settings.h"
#include "core/base/result.h"

namespace CLI {
class App;
}

namespace proofdrive::tools {

// `assignments` receives each NAME=VALUE and must outlive `app`.
void AddSettingsOption(CLI::App& app, std::vector<std::string>& assignments);

// Defaults with these assignments; the message of an error says how to write it.
Result<analysis::CheckSettings> SettingsOf(const std::vector<std::string>& assignments);

}  // namespace proofdrive::tools
