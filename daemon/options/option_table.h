// ONE table of every option. The command line, the configuration file, its shipped example and
// docs/daemon.md are made from it or checked against it.
#pragma once

#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/options/options.h"

namespace proofdrive::daemon {

struct OptionRule {
  std::string_view group;    // heading; rows of one group stand together
  std::string_view name;     // --NAME on the command line, NAME: in the file
  std::string_view value;    // what is written after it: "TIME"; empty: a switch, yes or no
  std::string_view example;  // of a value
  std::string_view meaning;  // a sentence for people
  // Takes one value, checked on its own. The message of an error need not name the option.
  Status (*set)(Options& options, const std::string& value);
  bool repeats = false;  // several values: --NAME again, a list in the file
  bool is_path = false;  // in the configuration file relative to the folder of that file

  bool is_switch() const { return value.empty(); }
};

// In the order of --help.
std::span<const OptionRule> OptionRules();
const OptionRule* FindOption(std::string_view name);

// Something that no single value shows.
struct OptionMistake {
  std::string_view option;  // whose place is shown
  std::string message;
};
// `given`: names of the options that were. Also fills in what depends on several options.
std::vector<OptionMistake> CheckTogether(Options& options,
                                         const std::vector<std::string_view>& given);

}  // namespace proofdrive::daemon
