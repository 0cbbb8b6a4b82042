// Files a command writes where the user says: nothing is replaced by accident.
#pragma once

#include <string>

#include "core/base/files.h"
#include "core/base/result.h"
#include "tools/shell/option_list.h"

namespace proofdrive::tools {

// Adds --overwrite.
void AddOverwriteOption(OptionList& options, bool& overwrite);

struct OutputFile {
  std::string option;      // it was given with, "--json"
  std::string path;        // empty: none is written
  bool overwrite = false;  // --overwrite was given
};

// Before the work, so that none is done in vain. kInvalidArgument when the name is that of a
// recording, or when a device, a pipe, a folder or a symbolic link stands there.
Status CheckOutput(Files& files, const OutputFile& output);

// Writes the whole text or nothing. What stands there already is replaced only when it is a regular
// file that is empty or begins as `text` does (a document of the same kind that was written
// before), or with `overwrite`; else kAlreadyExists. Errors of CheckOutput besides.
Status WriteOutput(Files& files, const OutputFile& output, const std::string& text);

// A file that is too long for one text: written under one name, then moved to the one that was
// asked for, so that what stands there is replaced when the whole result is there, not before.
struct NewFile {
  std::string written;  // a name that nobody has
  std::string wanted;   // the same when nothing stands there
};

// kAlreadyExists when something stands there and `overwrite` was not given. Errors of CheckOutput
// besides.
Result<NewFile> PlanNewFile(Files& files, const OutputFile& output);
// When it has been written.
Status PutInPlace(Files& files, const NewFile& file);

}  // namespace proofdrive::tools
