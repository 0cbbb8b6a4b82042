// Reads two sessions at once.
#pragma once

#include "analysis/findings/findings_of.h"
#include "core/base/result.h"
#include "session/reader.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {

struct BothFindings {
  analysis::SessionFindings before;
  analysis::SessionFindings after;
};

// Each session in a thread of its own, with one progress bar on a terminal. Of two errors that of
// `before` is returned. `options.progress` is not used.
Result<BothFindings> ReadBoth(Environment& environment, session::Reader& before,
                              session::Reader& after, const analysis::ComparisonDefinitions& chosen,
                              const analysis::FindingsOptions& options);

}  // namespace proofdrive::tools
