#include "output/json/import_json.h"

#include <nlohmann/json.hpp>

#include "core/base/json.h"
#include "output/json/json_parts.h"

namespace proofdrive::output {
namespace {

Json ChannelJson(const ImportedChannel& channel) {
  const bool any = channel.frames > 0;
  return {{"number", channel.channel.number},
          {"name", channel.channel.name},
          {"bus", channel.channel.bus},
          {"frames", channel.frames},
          {"first", any ? Json(FormatWallTime(channel.first, 9)) : Json(nullptr)},
          {"last", any ? Json(FormatWallTime(channel.last, 9)) : Json(nullptr)}};
}

}  // namespace

std::string ImportJson(const std::string& session, const ImportReport& report) {
  Json channels = Json::array();
  for (const ImportedChannel& channel : report.channels) channels.push_back(ChannelJson(channel));
  const CaptureSummary& capture = report.capture;
  const Json document = {
      {"session", session},
      {"frames", report.frames},
      {"span_s", ToSeconds(report.span())},
      {"session_bytes", report.session_bytes},
      {"channels", std::move(channels)},
      {"marks", report.marks},
      {"drops", report.drops},
      {"order",
       {{"cross_channel_steps", report.merge.cross_steps},
        {"largest_cross_channel_step_s", ToSeconds(report.merge.largest_cross_step)},
        {"cross_channel_steps_left", report.merge.cross_steps_left},
        {"channel_steps", report.merge.channel_steps},
        {"largest_channel_step_s", ToSeconds(report.merge.largest_channel_step)}}},
      {"skipped",
       {{"malformed", capture.malformed},
        {"extra_long", capture.extra_long},
        {"unplaced", capture.unplaced},
        {"unknown_blocks", capture.unknown_blocks}}},
      {"lost_bytes", capture.loss ? capture.loss->bytes : 0},
      {"notices", report.notices}};
  return DumpJsonDocument(document);
}

}  // namespace proofdrive::output
