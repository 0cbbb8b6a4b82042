#include "output/sheet/caution_text.h"

#include "output/sheet/html.h"
#include "output/sheet/table.h"

namespace proofdrive::output {

std::string CautionText(std::span<const CautionTopic> topics) {
  return Paragraph("", "Before you touch, charge or drive: " + FittingCaution(topics).text);
}

std::string FurtherCautions(const std::vector<Caution>& all, std::span<const CautionTopic> topics) {
  std::string text = "Further cautions:\n";
  const std::string told = FittingCaution(topics).text;
  for (const Caution& caution : all) {
    if (caution.text != told) text += Paragraph("  - ", caution.text);
  }
  return text;
}

std::string Sentence(std::string text) {
  text = Capital(std::move(text));
  return text.ends_with('.') ? text : text + ".";
}

}  // namespace proofdrive::output
