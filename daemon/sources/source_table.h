// Every kind of source, in one visible table: --source, --help and the error texts come from it.
#pragma once

#include <span>
#include <string>

#include "core/base/result.h"
#include "daemon/sources/source_kind.h"

namespace proofdrive::daemon {

// In the order of --help.
std::span<const SourceKind> SourceKinds();

// A --source that was checked.
struct SourceSpec {
  std::string text;                  // as written: "bench:repaired@10"
  std::string argument;              // after the colon
  std::string identity;              // equal for two sources that would deliver the same
  const SourceKind* kind = nullptr;  // row of the table
};
// kInvalidArgument names the possible kinds, or what is wrong with the argument.
Result<SourceSpec> ParseSource(const std::string& text);

}  // namespace proofdrive::daemon
