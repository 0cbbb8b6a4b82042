#include "output/json/survey_json.h"

#include <nlohmann/json.hpp>

#include "core/base/json.h"
#include "core/frame/frame.h"
#include "decoders/language/where_parser.h"
#include "output/json/json_parts.h"

namespace proofdrive::output {
namespace {

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

}  // namespace

std::string SurveyJson(const std::vector<FoundFrame>& found) {
  Json identifiers = Json::array();
  for (const FoundFrame& frame : found) identifiers.push_back(FrameJson(frame));
  const Json document = {{"identifiers", std::move(identifiers)}, {"partners", Json::array()}};
  return DumpJsonDocument(document);
}

}  // namespace proofdrive::output
