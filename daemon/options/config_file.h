// The configuration file: one YAML mapping whose keys are the options of the command line.
#pragma once

#include <string>
#include <vector>

#include "core/base/result.h"
#include "daemon/options/option_table.h"
#include "decoders/authoring/reporter.h"

namespace proofdrive::daemon {

// The values of one option and where they stand.
struct Setting {
  const OptionRule* rule = nullptr;
  std::vector<std::string> values;
  std::vector<decoders::Mark> marks;  // one per value
  decoders::Mark key;
};

// Every option the file gives, paths made relative to where the program runs. Mistakes go to
// `reporter`, which knows `source` as `file`; what is right is returned all the same.
std::vector<Setting> ReadConfig(const decoders::SourceText& source, std::uint32_t file,
                                decoders::Reporter& reporter);

// A file with every option, explained and switched off, except one source.
std::string ExampleConfig();

// Markdown tables of all options for docs/daemon.md.
std::string OptionReference();

}  // namespace proofdrive::daemon
