#include "output/text/coverage_text.h"

#include "core/base/text.h"

namespace proofdrive::output {

std::string CoverageText(const analysis::Coverage& coverage, std::string_view where) {
  if (!coverage.Nothing() && !coverage.Little()) return "";
  return "These definitions describe " + FormatCount(coverage.described) + " of " +
         CountOf(coverage.identifiers, "identifier") + " of " + std::string(where) +
         (coverage.Nothing() ? ": nothing can be judged." : ".");
}

}  // namespace proofdrive::output
