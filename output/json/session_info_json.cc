#include <nlohmann/json.hpp>

#include "core/base/json.h"
#include "output/text/session_info.h"

namespace proofdrive::output {
namespace {

using Json = nlohmann::ordered_json;

template <class T>
Json OrNull(const std::optional<T>& value) {
  return value ? Json(*value) : Json(nullptr);
}

Json TimeOrNull(const std::optional<WallTime>& time) {
  return time ? Json(FormatWallTime(*time, 9)) : Json(nullptr);
}

Json ChannelJson(const ChannelSummary& summary) {
  const session::Channel& channel = summary.channel;
  return {{"number", channel.number},
          {"name", channel.name},
          {"bus", channel.bus},
          {"bitrate", channel.bitrate},
          {"data_bitrate", channel.data_bitrate},
          {"timestamps", channel.timestamps},
          {"frames", summary.frames},
          {"streams", summary.streams},
          {"error_messages", summary.error_messages},
          {"drops", summary.drops},
          {"least_bits_per_s", OrNull(summary.least_bits_per_s)},
          {"most_bits_per_s", OrNull(summary.most_bits_per_s)}};
}

Json StreamJson(const StreamSummary& summary) {
  const StreamKey& key = summary.stream.key;
  return {{"channel", key.channel},
          {"id", FormatId(key.id, key.flags)},
          {"flags", key.flags},
          {"length", key.length},
          {"frames", summary.stream.frames},
          {"first", FormatWallTime(summary.stream.first, 9)},
          {"last", FormatWallTime(summary.stream.last, 9)},
          {"per_second", OrNull(summary.per_second)}};
}

Json EventJson(const session::Event& event) {
  return {{"time", FormatWallTime(event.time, 9)},
          {"kind", EventKindName(event.kind)},
          {"channel", OrNull(event.channel)},
          {"text", event.text},
          {"count", event.count},
          {"step_s", ToSeconds(event.step)},
          {"data", event.data}};
}

Json LossJson(const session::Loss& loss) {
  const bool data = loss.severity == session::Loss::Severity::kDataLoss;
  return {{"severity", data ? "data loss" : "notice"},
          {"offset", loss.offset},
          {"bytes", loss.bytes},
          {"what", loss.what},
          {"advice", loss.advice}};
}

template <class T, class Convert>
Json List(const std::vector<T>& items, Convert convert) {
  Json list = Json::array();
  for (const T& item : items) list.push_back(convert(item));
  return list;
}

Json DefinitionJson(const session::DefinitionText& definition) {
  return {{"path", definition.path}, {"bytes", definition.text.size()}};
}

Json MeasuredJson(const session::Measurement& one) {
  return {{"at", FormatWallTime(one.at, 9)},
          {"role", one.role},
          {"element", one.element == 0 ? Json(nullptr) : Json(one.element)},
          {"value", one.value},
          {"unit", one.unit},
          {"text", one.text},
          {"how", one.how}};
}

Json FaultJson(const NamedFaults& one) {
  return {{"frame", one.frame},
          {"id", one.id},
          {"frames", one.faults.frames},
          {"counter", one.faults.counter_faults},
          {"checksum", one.faults.checksum_faults},
          {"length", one.faults.wrong_length}};
}

Json InfoJson(const SessionInfo& info) {
  const session::Header& header = info.header;
  return {
      {"path", info.path},
      {"state", StateName(StateOf(info))},
      {"parts", List(info.parts, [](const session::PartFile& part) { return Json(part.path); })},
      {"part", header.part},
      {"recording", header.recording},
      {"id", header.id},
      {"name", header.name},
      {"stage", StageName(header.stage)},
      {"vehicle", header.vehicle},
      {"notes", header.notes},
      {"software", header.software},
      {"source", header.source},
      {"started", FormatWallTime(header.started.wall, 9)},
      {"first", TimeOrNull(info.first)},
      {"last", TimeOrNull(info.last)},
      {"resolution_ns", header.resolution.count()},
      {"frames", info.frames},
      {"file_bytes", info.file_bytes},
      {"unattributed_drops", info.unattributed_drops},
      {"definitions", List(header.definitions, DefinitionJson)},
      {"channels", List(info.channels, ChannelJson)},
      {"streams", List(info.streams, StreamJson)},
      {"events", List(info.events, EventJson)},
      {"losses", List(info.losses, LossJson)},
      {"measured", List(info.measured, MeasuredJson)},
      {"faults", info.faults ? List(*info.faults, FaultJson) : Json(nullptr)}};
}

}  // namespace

std::string SessionInfoJson(const std::vector<SessionInfo>& infos) {
  const Json document = {{"sessions", List(infos, InfoJson)}};
  return DumpJsonDocument(document);
}

}  // namespace proofdrive::output
