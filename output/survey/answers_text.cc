#include <cmath>
#include <cstdio>

#include "core/base/text.h"
#include "core/frame/frame.h"
#include "decoders/language/where_parser.h"
#include "output/sheet/table.h"
#include "output/survey/survey_text.h"

namespace proofdrive::output {
namespace {

using analysis::survey::Answers;
using analysis::survey::BitAtMarks;
using analysis::survey::Direction;
using analysis::survey::FieldName;
using analysis::survey::Partner;

constexpr std::size_t kShown = 10;

std::string Short(double value) {
  char text[32];
  std::snprintf(text, sizeof(text), "%.4g", value);
  return text;
}

std::string Where(const FieldName& field) {
  std::string text = FormatId(field.id, field.extended ? kExtendedId : 0);
  if (!field.bus.empty()) text += " on " + field.bus;
  if (field.page) text += " page " + std::to_string(*field.page);
  return text + ", " + decoders::FormatLocation(field.location);
}

std::string PartnerText(const Partner& partner) {
  std::string text = "r2 " + Short(partner.r2) + ", lag " + Short(partner.lag_s) + " s; scale " +
                     Short(partner.scale) + " +- " + Short(2 * partner.scale_error) + ", offset " +
                     Short(partner.offset);
  if (!partner.nice_scales.empty()) {
    std::vector<std::string> scales;
    for (const double scale : partner.nice_scales) scales.push_back(Short(scale));
    text += "; sensible scales near it: " + Join(scales, " or ");
  }
  return text + (partner.accepted ? "" : "; not proven: " + partner.why_not);
}

std::string FollowsText(const Answers& answers) {
  std::string text;
  for (const auto& answer : answers.follows) {
    text += "\n" + Paragraph("", "What follows " + answer.reference + "?");
    if (!answer.notice.empty()) text += Paragraph("  ", answer.notice);
    for (const Partner& partner : answer.partners) {
      text += Paragraph("  ", Where(partner.field)) + Paragraph("      ", PartnerText(partner));
    }
  }
  return text;
}

std::string BitText(const BitAtMarks& bit, std::size_t marks) {
  const char* way = bit.direction == Direction::kUp     ? "goes to 1 at "
                    : bit.direction == Direction::kDown ? "goes to 0 at "
                                                        : "changes at ";
  return way + std::to_string(bit.hits) + " of " + CountOf(marks, "mark") + ", " +
         CountOf(bit.changes, "time") + " in all" +
         (bit.accepted ? "" : "; not proven: some bit looks as good at random moments");
}

std::string MarksText(const Answers& answers) {
  if (!answers.marks) return "";
  std::string text = "\n" + Paragraph("", "What happens at the marks " + answers.marks_asked +
                                              " and hardly ever else?");
  if (!answers.marks->notice.empty()) text += Paragraph("  ", answers.marks->notice);
  std::size_t shown = 0;
  for (const BitAtMarks& bit : answers.marks->bits) {
    if (++shown > kShown) break;
    FieldName name{bit.bus, bit.id, bit.extended, std::nullopt, {}};
    name.location.pieces.push_back({bit.byte, bit.bit, 1});
    text += Paragraph("  ", Where(name)) + Paragraph("      ", BitText(bit, answers.marks->marks));
  }
  if (answers.marks->bits.empty()) text += "  No bit changes there.\n";
  return text;
}

std::string NotedText(const Answers& answers) {
  if (!answers.noted) return "";
  std::string text = "\nWhat shows the numbers that were written down?\n";
  if (!answers.noted->notice.empty()) text += Paragraph("  ", answers.noted->notice);
  std::size_t shown = 0;
  for (const auto& fit : answers.noted->fits) {
    if (++shown > kShown) break;
    text += Paragraph("  ", Where(fit.field)) +
            Paragraph("      ", "scale " + Short(fit.scale) + ", offset " + Short(fit.offset) +
                                    "; the worst number is off by " + Short(fit.worst) +
                                    " of its last digit");
  }
  return text;
}

std::string RelationsText(const Answers& answers) {
  if (!answers.relations) return "";
  std::string text = "\nWhich fields move together? That two do says nothing of their meaning.\n";
  for (const auto& relation : *answers.relations) {
    const bool same = relation.kind == analysis::survey::RelationKind::kProportional;
    text += Paragraph("  ", Where(relation.first) + (same ? " moves with " : " is changed by ") +
                                Where(relation.second)) +
            Paragraph("      ", "r2 of the changes " + Short(relation.r2) + ", factor " +
                                    Short(relation.factor) + (same ? "" : " per second"));
  }
  if (answers.relations->empty()) text += "  None do closely enough.\n";
  return text;
}

}  // namespace

std::string FormatAnswers(const Answers& answers) {
  std::string text =
      FollowsText(answers) + MarksText(answers) + NotedText(answers) + RelationsText(answers);
  return text.starts_with("\n") ? text.substr(1) : text;
}

}  // namespace proofdrive::output
