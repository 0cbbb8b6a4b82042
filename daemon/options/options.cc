#include "daemon/options/options.h"

#include "core/base/text.h"

namespace proofdrive::daemon {

std::string SourcesText(const Options& options) {
  std::vector<std::string> texts;
  for (const SourceSpec& spec : options.sources) texts.push_back(spec.text);
  return Join(texts, ", ");
}

}  // namespace proofdrive::daemon
