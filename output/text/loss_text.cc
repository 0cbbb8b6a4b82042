#include "output/text/loss_text.h"

#include <algorithm>

#include "core/base/text.h"
#include "output/sheet/table.h"

namespace proofdrive::output {

bool IsDataLoss(const session::Loss& loss) {
  return loss.severity == session::Loss::Severity::kDataLoss;
}

bool AnyDataLoss(const std::vector<session::Loss>& losses) {
  return std::any_of(losses.begin(), losses.end(), IsDataLoss);
}

std::string FormatLosses(const std::vector<session::Loss>& losses) {
  std::string text;
  for (const session::Loss& loss : losses) {
    text += Paragraph(IsDataLoss(loss) ? "  lost    " : "  notice  ", Printable(loss.what));
    if (!loss.advice.empty()) text += Paragraph("          ", Printable(loss.advice));
  }
  return text;
}

}  // namespace proofdrive::output
