// Where the JSON document of a command goes.
#pragma once

#include <string>

#include "core/base/result.h"
#include "tools/input/output_file.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {

// "--json" prints the document instead of the text, "--json FILE" writes it besides the text.
class JsonOutput {
 public:
  JsonOutput() = default;
  JsonOutput(const JsonOutput&) = delete;  // points into itself
  JsonOutput& operator=(const JsonOutput&) = delete;
  // Adds --json and --overwrite.
  void AddTo(OptionList& options);
  // For a command that writes other files, too, and has --overwrite already: stored in `overwrite`.
  void AddTo(OptionList& options, const bool& overwrite);

  // Before the work: errors of CheckOutput.
  Status Check(Files& files) const { return CheckOutput(files, File()); }

  bool given() const { return json_.given; }
  // The text is not printed.
  bool instead() const { return json_.given && json_.value.empty(); }
  // REQUIRES: given(). Prints or writes; errors of WriteOutput.
  Status Take(Environment& environment, const std::string& document) const;

 private:
  OutputFile File() const { return {"--json", json_.value, *overwrite_}; }

  OptionalText json_;
  bool own_overwrite_ = false;
  const bool* overwrite_ = &own_overwrite_;
};

}  // namespace proofdrive::tools
