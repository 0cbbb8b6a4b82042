#include "output/text/import_text.h"

#include <cstdio>
#include <nlohmann/json.hpp>

#include "core/base/json.h"
#include "core/base/text.h"
#include "output/sheet/table.h"

namespace proofdrive::output {
namespace {

using Align = Table::Align;
using Json = nlohmann::ordered_json;

std::string Milliseconds(Duration duration) {
  char text[64];
  std::snprintf(text, sizeof(text), "%.1f ms", ToSeconds(duration) * 1e3);
  return text;
}

std::string Order(const ImportReport& report) {
  const MergeStats& merge = report.merge;
  if (merge.cross_steps == 0) return "the channels were in order of time with each other";
  const std::string found = "the channels were out of order with each other at " +
                            CountOf(merge.cross_steps, "place") + ", by up to " +
                            Milliseconds(merge.largest_cross_step);
  if (report.order_kept) return found + "; kept as recorded, the capture is one of our own";
  if (merge.cross_steps_left == 0) return found + "; merged by time, none left";
  return found + "; merged by time, " + FormatCount(merge.cross_steps_left) + " left";
}

std::string ClockText(const MergeStats& merge) {
  if (merge.channel_steps == 0) return "within every channel time never ran backward";
  return "within a channel the clock stepped back " + CountOf(merge.channel_steps, "time") +
         ", by up to " + FormatDuration(merge.largest_channel_step) +
         "; the order of recording was kept and the steps were recorded";
}

Duration SpanOf(const ImportReport& report) {
  WallTime first = WallTime::max();
  WallTime last = WallTime::min();
  for (const ImportedChannel& channel : report.channels) {
    if (channel.frames == 0) continue;
    first = std::min(first, channel.first);
    last = std::max(last, channel.last);
  }
  return last > first ? last - first : Duration(0);
}

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

std::string FormatImport(const std::string& session, const ImportReport& report) {
  Table table({{"Channel"}, {"Bus"}, {"Frames", Align::kRight}, {"First"}, {"Last"}});
  for (const ImportedChannel& channel : report.channels) {
    const bool any = channel.frames > 0;
    table.Add({Printable(channel.channel.name), Printable(channel.channel.bus),
               FormatCount(channel.frames), any ? FormatWallTime(channel.first, 6) : "",
               any ? FormatWallTime(channel.last, 6) : ""});
  }
  std::string text = Printable(session) + ": " + CountOf(report.frames, "frame") + " in " +
                     FormatDuration(SpanOf(report)) + ", " + CountOf(report.session_bytes, "byte") +
                     "\n\n" + table.Format() + "\n";
  text += Paragraph("Order  ", Order(report));
  text += Paragraph("Clock  ", ClockText(report.merge));
  text += Paragraph("Also   ", CountOf(report.marks, "mark") + ", " +
                                   CountOf(report.drops, "frame") + " lost while recording");
  return text;
}

std::string ImportJson(const std::string& session, const ImportReport& report) {
  Json channels = Json::array();
  for (const ImportedChannel& channel : report.channels) channels.push_back(ChannelJson(channel));
  const CaptureSummary& capture = report.capture;
  const Json document = {
      {"session", session},
      {"frames", report.frames},
      {"span_s", ToSeconds(SpanOf(report))},
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
