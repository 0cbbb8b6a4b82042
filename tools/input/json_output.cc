#include "tools/input/json_output.h"

#include <ostream>

namespace proofdrive::tools {

void JsonOutput::AddTo(OptionList& options) {
  AddOverwriteOption(options, own_overwrite_);
  AddTo(options, own_overwrite_);
}

void JsonOutput::AddTo(OptionList& options, const bool& overwrite) {
  overwrite_ = &overwrite;
  options
      .Add("--json", &json_,
           "Write the result as JSON to this file; without a file name, to standard output "
           "instead of the text")
      .Called("FILE");
}

Status JsonOutput::Take(Environment& environment, const std::string& document) const {
  if (!instead()) return WriteOutput(environment.files, File(), document);
  environment.out << document;
  return Status::Ok();
}

}  // namespace proofdrive::tools
