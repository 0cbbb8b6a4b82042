#include <algorithm>
#include <cmath>

#include "core/base/decimals.h"
#include "core/base/text.h"
#include "output/sheet/table.h"
#include "output/text/loss_text.h"
#include "output/text/session_info.h"
#include "output/words/measured_words.h"

namespace proofdrive::output {
namespace {

using Align = Table::Align;

constexpr std::size_t kLabelWidth = 13;

std::string Line(const std::string& label, const std::string& text) {
  if (text.empty()) return "";
  std::string first = label;
  first.resize(kLabelWidth, ' ');
  return Paragraph("  " + first, text);
}

std::string Span(const SessionInfo& info) {
  if (!info.first) return "";
  if (*info.last < *info.first) return ", the clock went back meanwhile";
  return " in " + SpokenDuration(*info.last - *info.first);
}

std::string PerFrame(const SessionInfo& info) {
  if (info.frames == 0) return "";
  // Before the end most frames are in the journal, not in this file.
  if (info.state == session::State::kRecording || info.state == session::State::kInterrupted) {
    return ", besides what is in the journal";
  }
  const double bytes = static_cast<double>(info.file_bytes) / static_cast<double>(info.frames);
  return ", " + Decimals(bytes, 1) + " bytes per frame";
}

std::string When(const SessionInfo& info) {
  if (!info.first) return "no frames";
  return FormatWallTime(*info.first) + " to " + FormatWallTime(*info.last);
}

std::string Clocks(const session::Header& header) {
  std::vector<std::string> sources;
  for (const session::Channel& channel : header.channels) {
    const std::string source = Printable(channel.timestamps);
    if (!source.empty() && std::find(sources.begin(), sources.end(), source) == sources.end()) {
      sources.push_back(source);
    }
  }
  const std::string unit = header.resolution == Duration(1) ? "1 ns" : "1 us";
  return "times to " + unit + (sources.empty() ? "" : ", stated by: " + Join(sources, ", ")) +
         "; recorder started " + FormatWallTime(header.started.wall);
}

// "3 steps of the wall clock, 90.0 s back and 0.250 s forward in all".
std::string Steps(const std::vector<session::Event>& events) {
  std::size_t count = 0;
  Duration back{0};
  Duration forward{0};
  for (const session::Event& event : events) {
    if (event.kind != session::EventKind::kClockStep) continue;
    ++count;
    (event.step < Duration(0) ? back : forward) += std::chrono::abs(event.step);
  }
  if (count == 0) return "; no step of the wall clock noted";
  std::vector<std::string> ways;
  if (back > Duration(0)) ways.push_back(FormatDuration(back) + " back");
  if (forward > Duration(0)) ways.push_back(FormatDuration(forward) + " forward");
  return "; " + CountOf(count, "step") + " of the wall clock, " + Join(ways, " and ") +
         (count > 1 ? " in all" : "");
}

// Which part of what, or how many parts there are.
std::string Parts(const SessionInfo& info) {
  if (info.header.part == 0) return "";
  if (info.parts.size() > 1) {
    return FormatCount(info.parts.size()) + " files, " +
           Printable(FileNameOf(info.parts.front().path)) + " to " +
           Printable(FileNameOf(info.parts.back().path));
  }
  return "part " + std::to_string(info.parts.front().number) + " of the recording" +
         (info.header.continued ? ", which goes on in the next part" : "");
}

std::string Definitions(const session::Header& header) {
  std::vector<std::string> names;
  for (const session::DefinitionText& definition : header.definitions) {
    names.push_back(Printable(FileNameOf(definition.path)) + " (" +
                    CountOf(definition.text.size(), "byte") + ")");
  }
  return names.empty() ? "none stored; give them with --definitions" : Join(names, ", ");
}

std::string Measured(const SessionInfo& info) {
  std::string text;
  for (const session::Measurement& one : info.measured) {
    text += Line("Measured", Printable(MeasuredText(one)));
  }
  return text;
}

// Damage that was met is told; what nobody has read yet is not called sound.
std::string StateText(const SessionInfo& info) {
  const session::State state = StateOf(info);
  const char* proviso = state == session::State::kComplete ? " by its index" : "";
  return std::string(StateName(state)) + proviso;
}

// Damage within a chunk does not show in the index.
std::string Checked(const SessionInfo& info) {
  if (StateOf(info) != session::State::kComplete) return "";
  return "its index only; whether every frame can be read says: proofdrive verify " +
         Printable(info.path);
}

std::string Heading(const SessionInfo& info) {
  const session::Header& header = info.header;
  const std::string stage =
      header.stage == session::Stage::kUnspecified ? "" : std::string(StageName(header.stage));
  std::string what = Printable(header.name);
  if (!stage.empty()) what += what.empty() ? "stage " + stage : ", stage " + stage;
  return Printable(info.path) + ": " + StateText(info) + ", " + CountOf(info.frames, "frame") +
         Span(info) + "\n" + Line("Checked", Checked(info)) + Line("What", what) +
         Line("Vehicle", Printable(header.vehicle)) + Line("Notes", Printable(header.notes)) +
         Line("When", When(info)) +
         Line("Recorded",
              Printable(header.source) +
                  (header.software.empty() ? "" : ", written by " + Printable(header.software))) +
         Line("Clocks", Clocks(header) + Steps(info.events)) + Line("Parts", Parts(info)) +
         Line("Size", FormatByteCount(info.file_bytes) + PerFrame(info)) +
         Line("Definitions", Definitions(header)) + Measured(info);
}

// "21 to 26 %", or bits per second when the bit rate is not known.
std::string Load(const ChannelSummary& channel) {
  if (!channel.least_bits_per_s) return "not known";
  const double least = *channel.least_bits_per_s;
  const double most = *channel.most_bits_per_s;
  const std::string mark = channel.faster_data ? "*" : "";
  if (channel.channel.bitrate == 0) {
    return Decimals(least / 1e3, 1) + " to " + Decimals(most / 1e3, 1) + " kbit/s" + mark;
  }
  const double rate = channel.channel.bitrate / 100.0;
  return Decimals(least / rate, 1) + " to " + Decimals(most / rate, 1) + " %" + mark;
}

std::string ChannelName(const SessionInfo& info, std::uint8_t number) {
  for (const ChannelSummary& summary : info.channels) {
    if (summary.channel.number == number && !summary.channel.name.empty()) {
      return Printable(summary.channel.name);
    }
  }
  return "channel " + std::to_string(number);
}

std::string Channels(const SessionInfo& info) {
  if (info.channels.empty()) return "";
  Table table({{"Channel"},
               {"Bus"},
               {"Bit rate", Align::kRight},
               {"Frames", Align::kRight},
               {"Streams", Align::kRight},
               {"Load", Align::kRight},
               {"Error messages", Align::kRight},
               {"Lost", Align::kRight}});
  bool faster_data = false;
  for (const ChannelSummary& channel : info.channels) {
    table.Add({ChannelName(info, channel.channel.number), Printable(channel.channel.bus),
               channel.channel.bitrate == 0 ? "not known" : FormatCount(channel.channel.bitrate),
               FormatCount(channel.frames), FormatCount(channel.streams), Load(channel),
               FormatCount(channel.error_messages), FormatCount(channel.drops)});
    faster_data |= channel.faster_data;
  }
  std::string text = "\n" + table.Format() +
                     Paragraph("",
                               "Load: from no stuff bits to the most that can occur, over the "
                               "whole session.");
  if (faster_data) {
    text += Paragraph("* ",
                      "CAN FD frames are counted at the nominal bit rate; the true load is "
                      "lower.");
  }
  if (info.unattributed_drops > 0) {
    text +=
        CountOf(info.unattributed_drops, "frame") + " lost before the channels were told apart.\n";
  }
  return text;
}

std::string Period(const StreamSummary& stream) {
  return stream.per_second ? Decimals(1e3 / *stream.per_second, 2) + " ms" : "";
}

// Streams may differ in their kind alone.
std::string IdentifierText(const StreamKey& key) {
  std::string text = FormatId(key.id, key.flags);
  if ((key.flags & kRemote) != 0) text += " remote";
  if ((key.flags & kFlexibleData) != 0) text += " FD";
  if ((key.flags & kSentHere) != 0) text += " sent";
  return text;
}

std::string Streams(const SessionInfo& info, std::size_t limit) {
  if (info.streams.empty()) return "";
  Table table({{"Channel"},
               {"Identifier", Align::kRight},
               {"Bytes", Align::kRight},
               {"Frames", Align::kRight},
               {"Per second", Align::kRight},
               {"Mean period", Align::kRight}});
  const std::size_t shown = std::min(limit, info.streams.size());
  for (std::size_t i = 0; i < shown; ++i) {
    const StreamSummary& stream = info.streams[i];
    const StreamKey& key = stream.stream.key;
    table.Add({ChannelName(info, key.channel), IdentifierText(key), std::to_string(key.length),
               FormatCount(stream.stream.frames),
               stream.per_second ? Decimals(*stream.per_second, 1) : "", Period(stream)});
  }
  const std::string more = shown == info.streams.size()
                               ? ""
                               : ", the " + std::to_string(shown) + " busiest of " +
                                     FormatCount(info.streams.size()) + " (--all shows every one)";
  return "\nStreams" + more + "\n" + table.Format();
}

std::string EventText(const SessionInfo& info, const session::Event& event) {
  std::string text;
  if (event.channel) text += ChannelName(info, *event.channel) + ": ";
  if (event.kind == session::EventKind::kDrops) text += CountOf(event.count, "frame") + " lost, ";
  if (event.kind == session::EventKind::kClockStep) {
    text += event.step < Duration(0) ? "clock back by " + FormatDuration(-event.step)
                                     : "clock forward by " + FormatDuration(event.step);
    if (!event.text.empty()) text += ", ";
  }
  return text + Printable(event.text);
}

std::string Events(const SessionInfo& info, std::size_t limit) {
  if (info.events.empty()) return "";
  Table table({{"Time"}, {"Event"}, {""}});
  std::size_t others = 0;
  for (const session::Event& event : info.events) {
    if (event.kind != session::EventKind::kMark && ++others > limit) continue;
    table.Add({FormatWallTime(event.time), std::string(EventKindName(event.kind)),
               EventText(info, event)});
  }
  const std::string more = others <= limit ? ""
                                           : "and " + FormatCount(others - limit) +
                                                 " more events (--all shows every one)\n";
  return "\n" + table.Format() + more;
}

std::string Faults(const SessionInfo& info) {
  return info.faults ? "\n" + FormatFaults(*info.faults) : "";
}

std::string Losses(const SessionInfo& info) {
  if (info.losses.empty()) return "";
  std::string text = "\n";
  for (const session::Loss& loss : info.losses) {
    text += Paragraph(loss.severity == session::Loss::Severity::kDataLoss ? "Lost: " : "Note: ",
                      Printable(loss.what) + (loss.advice.empty() ? "" : "; " + loss.advice));
  }
  return text;
}

}  // namespace

std::string FormatSessionInfo(const SessionInfo& info, const InfoLimits& limits) {
  return Heading(info) + Channels(info) + Streams(info, limits.streams) +
         Events(info, limits.events) + Faults(info) + Losses(info);
}

}  // namespace proofdrive::output
