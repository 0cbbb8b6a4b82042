#include "decoders/language/draft.h"

#include "decoders/formula/words.h"
#include "decoders/language/mapping_reader.h"

namespace proofdrive::decoders {

bool Draft::TakeName(NameMarks& names, const std::string& kind, const YamlNode& node) {
  if (!IsName(node.key)) {
    reporter.Error(node.key_mark, "\"" + node.key + "\" cannot be the name of a " + kind,
                   "use letters, digits and _, and start with a letter");
    return false;
  }
  if (IsFormulaWord(node.key)) {
    reporter.Error(node.key_mark, "\"" + node.key + "\" is a word of formulas",
                   "choose another name, for example " + node.key + "_value");
    return false;
  }
  const auto [first, is_new] = names.emplace(node.key, node.key_mark);
  if (is_new) return true;
  reporter.Error(
      node.key_mark, "there is already a " + kind + " \"" + node.key + "\"",
      "the first one is at " + reporter.Show(first->second) + "; give one of them another name");
  return false;
}

}  // namespace proofdrive::decoders
