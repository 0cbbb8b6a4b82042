#include "output/text/import_text.h"

#include "core/base/decimals.h"
#include "core/base/text.h"
#include "output/sheet/table.h"

namespace proofdrive::output {
namespace {

using Align = Table::Align;

std::string Milliseconds(Duration duration) {
  return Decimals(ToSeconds(duration) * 1e3, 1) + " ms";
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
                     SpokenDuration(report.span()) + ", " + CountOf(report.session_bytes, "byte") +
                     "\n\n" + table.Format() + "\n";
  text += Paragraph("Order  ", Order(report));
  text += Paragraph("Clock  ", ClockText(report.merge));
  text += Paragraph("Also   ", CountOf(report.marks, "mark") + ", " +
                                   CountOf(report.drops, "frame") + " lost while recording");
  return text;
}

}  // namespace proofdrive::output
