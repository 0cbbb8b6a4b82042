#include "output/survey/survey_text.h"

#include <cstdio>

#include "analysis/fit/judge_fit.h"
#include "core/base/text.h"
#include "core/base/time.h"
#include "core/frame/frame.h"
#include "decoders/language/where_parser.h"
#include "output/sheet/table.h"

namespace proofdrive::output {
namespace {

using analysis::survey::ChecksumModel;
using analysis::survey::Field;
using analysis::survey::FieldKind;
using analysis::survey::FoundFrame;
using decoders::FormatLocation;

std::string Hex(std::uint32_t value) {
  char text[16];
  std::snprintf(text, sizeof(text), "0x%02X", value);
  return text;
}

std::string ModelText(const ChecksumModel& model) {
  std::string text = model.kind;
  if (model.polynomial != 0) text += " " + Hex(model.polynomial);
  if (!model.by_counter.empty()) return text + " with a data id for each counter value";
  if (model.id_and_length) return text + " plus the bytes of the identifier and the length";
  if (model.kind.starts_with("e2e-")) return text + ", data id " + Hex(model.constant);
  return model.constant == 0 ? text : text + ", constant " + Hex(model.constant);
}

std::string ChecksumText(const FoundFrame& frame) {
  const auto& checksum = *frame.checksum;
  std::vector<std::string> models;
  for (const ChecksumModel& model : checksum.models) models.push_back(ModelText(model));
  std::string text = FormatLocation(checksum.location) + ": " + Join(models, " or ");
  text += checksum.proved ? "; found in the first half, holds in the second"
                          : "; not tried on other frames than it was found in";
  if (models.size() > 1) {
    text += "; a recording in which more of this frame changes would tell which";
  }
  return text;
}

std::string KindText(const Field& field) {
  std::string text(FieldKindName(field.kind));
  if (field.kind != FieldKind::kNumber) return text;
  if (field.order) text += *field.order == ByteOrder::kBig ? " big" : " little";
  if (!field.is_signed) return text + ", sign not seen";
  return text + (*field.is_signed ? ", signed" : ", unsigned");
}

std::string EvidenceText(const Field& field) {
  std::string text = field.why;
  if (field.certain_bits < field.location.bits()) {
    text += "; certain are the lowest " + std::to_string(field.certain_bits) + " bits";
  }
  if (!field.runner_up.empty() && field.kind == FieldKind::kNumber) {
    text += "; next best: " + field.runner_up;
  }
  if (!field.settle.empty()) text += "; what would settle it: " + field.settle;
  return text;
}

std::string Head(const FoundFrame& frame) {
  std::string text = FormatId(frame.id, frame.extended ? kExtendedId : 0);
  if (!frame.bus.empty()) text += " on " + frame.bus;
  if (frame.page) text += ", page " + std::to_string(*frame.page);
  text += ": " + CountOf(frame.frames, "frame") + " of " + CountOf(frame.length, "byte");
  if (frame.period_s > 0) text += ", every " + analysis::PeriodWords(FromSeconds(frame.period_s));
  return text;
}

std::string FrameText(const FoundFrame& frame) {
  std::string text = "\n" + Paragraph("", Head(frame));
  if (!frame.notice.empty()) text += Paragraph("  ", frame.notice);
  if (frame.counter) {
    text += Paragraph("  counter   ", FormatLocation(frame.counter->location) + ", counts to " +
                                          std::to_string(frame.counter->counts_to));
  }
  if (frame.checksum) text += Paragraph("  checksum  ", ChecksumText(frame));
  if (frame.selector) text += Paragraph("  page      ", FormatLocation(*frame.selector));
  for (const Field& field : frame.fields) {
    text += Paragraph("  " + FormatLocation(field.location) + "  ", KindText(field));
    text += Paragraph("      ", EvidenceText(field));
  }
  return text;
}

std::string LeadSentence(const std::vector<FoundFrame>& found) {
  std::size_t identifiers = 0;
  std::size_t fields = 0;
  std::size_t checksums = 0;
  std::size_t counters = 0;
  for (const FoundFrame& frame : found) {
    identifiers += frame.page ? 0U : 1U;
    fields += frame.fields.size();
    checksums += frame.checksum ? 1U : 0U;
    counters += frame.counter ? 1U : 0U;
  }
  if (identifiers == 0) return "Nothing is left to survey.\n";
  return Paragraph("", CountOf(identifiers, "identifier") + ": " + CountOf(fields, "field") + ", " +
                           CountOf(checksums, "checksum") + ", " + CountOf(counters, "counter") +
                           " proposed. What a field means, no survey of its bits can tell.");
}

}  // namespace

std::string FormatSurvey(const std::vector<FoundFrame>& found) {
  std::string text = LeadSentence(found);
  for (const FoundFrame& frame : found) text += FrameText(frame);
  return text;
}

}  // namespace proofdrive::output
