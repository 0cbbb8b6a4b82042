#include "output/json/survey_json.h"

#include <nlohmann/json.hpp>

#include "core/base/json.h"
#include "core/frame/frame.h"
#include "decoders/language/where_parser.h"
#include "output/json/json_parts.h"

namespace proofdrive::output {
namespace {

using analysis::survey::Answers;
using analysis::survey::ChecksumModel;
using analysis::survey::Field;
using analysis::survey::FoundFrame;
using decoders::FormatLocation;

Json TextOrNull(const std::string& text) { return text.empty() ? Json(nullptr) : Json(text); }

Json OrderJson(const std::optional<ByteOrder>& order) {
  if (!order) return nullptr;
  return *order == ByteOrder::kBig ? "big" : "little";
}

Json FieldJson(const Field& field) {
  return {{"where", FormatLocation(field.location)},
          {"order", OrderJson(field.order)},
          {"signed", field.is_signed ? Json(*field.is_signed) : Json(nullptr)},
          {"kind", std::string(FieldKindName(field.kind))},
          {"certain_bits", field.certain_bits},
          {"possible_bits", field.location.bits()},
          {"changes", field.changes},
          {"why", field.why},
          {"runner_up", TextOrNull(field.runner_up)},
          {"settle", TextOrNull(field.settle)}};
}

Json ModelJson(const ChecksumModel& model, bool two_bytes) {
  Json json = {{"kind", model.kind}};
  if (model.polynomial != 0) json["polynomial"] = model.polynomial;
  if (!model.by_counter.empty()) {
    json["data_ids"] = model.by_counter;
  } else if (model.kind.starts_with("e2e-")) {
    json["data_id"] = model.constant;
  } else {
    json["constant"] = model.constant;
  }
  if (two_bytes) json["order"] = model.little ? "little" : "big";
  if (model.id_and_length) json["constant_is"] = "id and length";
  return json;
}

Json ChecksumJson(const FoundFrame& frame) {
  if (!frame.checksum) return nullptr;
  const auto& checksum = *frame.checksum;
  Json models = Json::array();
  for (const ChecksumModel& model : checksum.models) {
    models.push_back(ModelJson(model, checksum.location.bits() == 16));
  }
  const std::string over =
      "bytes " + std::to_string(checksum.first_byte) + "-" + std::to_string(checksum.last_byte);
  return {{"where", FormatLocation(checksum.location)},
          {"over", over},
          {"models", std::move(models)},
          {"share", Figures(checksum.share)},
          {"payloads", checksum.payloads},
          {"proved", checksum.proved}};
}

Json CounterJson(const FoundFrame& frame) {
  if (!frame.counter) return nullptr;
  return {{"where", FormatLocation(frame.counter->location)},
          {"counts_to", frame.counter->counts_to},
          {"share", Figures(frame.counter->share)}};
}

Json FrameJson(const FoundFrame& frame) {
  Json fields = Json::array();
  for (const Field& field : frame.fields) fields.push_back(FieldJson(field));
  Json constant = Json::array();
  for (const auto& bits : frame.constant) {
    constant.push_back({{"where", FormatLocation(bits.location)}, {"value", bits.value}});
  }
  return {{"bus", frame.bus},
          {"id", FormatId(frame.id, frame.extended ? kExtendedId : 0)},
          {"extended", frame.extended},
          {"page", frame.page ? Json(*frame.page) : Json(nullptr)},
          {"frames", frame.frames},
          {"length", frame.length},
          {"period_ms", frame.period_s > 0 ? Figures(frame.period_s * 1000) : Json(nullptr)},
          {"fields", std::move(fields)},
          {"counter", CounterJson(frame)},
          {"checksum", ChecksumJson(frame)},
          {"selector",
           frame.selector ? Json{{"where", FormatLocation(*frame.selector)}} : Json(nullptr)},
          {"constant", std::move(constant)},
          {"notice", TextOrNull(frame.notice)}};
}

// What every answer has: which question it is to, and which bits.
Json PartnerJson(const char* asked, const std::string& question,
                 const analysis::survey::FieldName& field) {
  return {{"asked", asked},
          {"reference", question},
          {"bus", field.bus},
          {"id", FormatId(field.id, field.extended ? kExtendedId : 0)},
          {"extended", field.extended},
          {"page", field.page ? Json(*field.page) : Json(nullptr)},
          {"where", FormatLocation(field.location)}};
}

void AddFollows(const Answers& answers, Json& partners) {
  for (const auto& answer : answers.follows) {
    for (const auto& partner : answer.partners) {
      Json json = PartnerJson("follow", partner.reference, partner.field);
      json["r2"] = Figures(partner.r2);
      json["lag_s"] = Figures(partner.lag_s);
      json["scale"] = Figures(partner.scale);
      json["scale_error"] = Figures(partner.scale_error);
      json["offset"] = Figures(partner.offset);
      json["offset_error"] = Figures(partner.offset_error);
      json["sensible_scales"] = partner.nice_scales;
      json["p"] = Figures(partner.p);
      json["accepted"] = partner.accepted;
      json["why_not"] = TextOrNull(partner.why_not);
      partners.push_back(std::move(json));
    }
  }
}

void AddMarks(const Answers& answers, Json& partners) {
  if (!answers.marks) return;
  for (const auto& bit : answers.marks->bits) {
    analysis::survey::FieldName name{bit.bus, bit.id, bit.extended, std::nullopt, {}};
    name.location.pieces.push_back({bit.byte, bit.bit, 1});
    Json json = PartnerJson("marks", answers.marks_asked, name);
    json["hits"] = bit.hits;
    json["marks"] = answers.marks->marks;
    json["changes"] = bit.changes;
    json["share_else"] = Figures(bit.share_else);
    json["p"] = Figures(bit.p);
    json["accepted"] = bit.accepted;
    json["why_not"] = bit.accepted ? Json(nullptr) : TextOrNull(answers.marks->notice);
    partners.push_back(std::move(json));
  }
}

void AddNoted(const Answers& answers, Json& partners) {
  if (!answers.noted) return;
  for (const auto& fit : answers.noted->fits) {
    Json json = PartnerJson("noted", "numbers written down", fit.field);
    json["scale"] = Figures(fit.scale);
    json["offset"] = Figures(fit.offset);
    json["worst"] = Figures(fit.worst);
    json["accepted"] = answers.noted->fits.size() == 1;
    json["why_not"] = TextOrNull(answers.noted->notice);
    partners.push_back(std::move(json));
  }
}

void AddRelations(const Answers& answers, Json& partners) {
  if (!answers.relations) return;
  for (const auto& relation : *answers.relations) {
    Json json =
        PartnerJson("relations", std::string(RelationKindName(relation.kind)), relation.first);
    json["to"] = {{"bus", relation.second.bus},
                  {"id", FormatId(relation.second.id, relation.second.extended ? kExtendedId : 0)},
                  {"page", relation.second.page ? Json(*relation.second.page) : Json(nullptr)},
                  {"where", FormatLocation(relation.second.location)}};
    json["r2"] = Figures(relation.r2);
    json["factor"] = Figures(relation.factor);
    json["accepted"] = false;
    json["why_not"] = "a relation between two fields says nothing of their meaning";
    partners.push_back(std::move(json));
  }
}

Json NoticesJson(const Answers& answers) {
  Json notices = Json::array();
  for (const auto& answer : answers.follows) {
    if (!answer.notice.empty()) notices.push_back(answer.reference + ": " + answer.notice);
  }
  if (answers.marks && !answers.marks->notice.empty()) notices.push_back(answers.marks->notice);
  if (answers.noted && !answers.noted->notice.empty()) notices.push_back(answers.noted->notice);
  return notices;
}

}  // namespace

std::string SurveyJson(const std::vector<FoundFrame>& found, const Answers& answers) {
  Json identifiers = Json::array();
  for (const FoundFrame& frame : found) identifiers.push_back(FrameJson(frame));
  Json partners = Json::array();
  AddFollows(answers, partners);
  AddMarks(answers, partners);
  AddNoted(answers, partners);
  AddRelations(answers, partners);
  const Json document = {{"identifiers", std::move(identifiers)},
                         {"partners", std::move(partners)},
                         {"notices", NoticesJson(answers)}};
  return DumpJsonDocument(document);
}

}  // namespace proofdrive::output
