#include "output/text/session_table.h"

#include <algorithm>

#include "core/base/decimals.h"
#include "core/base/files.h"
#include "core/base/text.h"
#include "output/sheet/table.h"

namespace proofdrive::output {
namespace {

using Align = Table::Align;

std::string BytesPerFrame(const SessionInfo& info) {
  const bool finished =
      info.state == session::State::kComplete || info.state == session::State::kDamaged;
  if (!finished || info.frames == 0) return "";
  return Decimals(static_cast<double>(info.file_bytes) / static_cast<double>(info.frames), 1);
}

std::uint64_t Drops(const SessionInfo& info) {
  std::uint64_t drops = info.unattributed_drops;
  for (const ChannelSummary& channel : info.channels) drops += channel.drops;
  return drops;
}

std::uint64_t ErrorMessages(const SessionInfo& info) {
  std::uint64_t errors = 0;
  for (const ChannelSummary& channel : info.channels) errors += channel.error_messages;
  return errors;
}

std::size_t Marks(const SessionInfo& info) {
  return static_cast<std::size_t>(std::count_if(
      info.events.begin(), info.events.end(),
      [](const session::Event& event) { return event.kind == session::EventKind::kMark; }));
}

std::string State(const SessionInfo& info) { return std::string(StateName(StateOf(info))); }

std::string Name(const SessionInfo& info) {
  const std::string name = Printable(FileNameOf(info.path));
  return info.parts.size() > 1 ? name + " +" + std::to_string(info.parts.size() - 1) : name;
}

bool AnyInParts(const std::vector<SessionInfo>& infos) {
  return std::any_of(infos.begin(), infos.end(),
                     [](const SessionInfo& info) { return info.parts.size() > 1; });
}

}  // namespace

std::string FormatSessionTable(std::vector<SessionInfo> infos,
                               const std::vector<UnreadableSession>& unreadable) {
  const auto when = [](const SessionInfo& info) {
    return info.first.value_or(info.header.started.wall);
  };
  std::stable_sort(infos.begin(), infos.end(),
                   [&](const SessionInfo& a, const SessionInfo& b) { return when(a) < when(b); });
  Table table({{"Session"},
               {"State"},
               {"Stage"},
               {"Began"},
               {"Length", Align::kRight},
               {"Frames", Align::kRight},
               {"B/frame", Align::kRight},
               {"Errors", Align::kRight},
               {"Lost", Align::kRight},
               {"Marks", Align::kRight},
               {"Vehicle"}});
  for (const SessionInfo& info : infos) {
    const bool forward = info.first && *info.first <= *info.last;
    table.Add({Name(info), State(info), std::string(StageName(info.header.stage)),
               FormatWallTime(when(info), 0),
               forward ? SpokenDuration(*info.last - *info.first) : "", FormatCount(info.frames),
               BytesPerFrame(info), FormatCount(ErrorMessages(info)), FormatCount(Drops(info)),
               FormatCount(Marks(info)), Printable(info.header.vehicle)});
  }
  constexpr std::size_t kWide = 160;  // a table that is cut says nothing
  std::string text = table.empty() ? "" : table.Format(kWide);
  if (!table.empty()) {
    text += "State: as the index says; \"proofdrive verify\" reads everything.\n";
  }
  if (AnyInParts(infos)) text += "+N: so many further parts.\n";
  for (const UnreadableSession& one : unreadable) {
    text += Paragraph("Not readable: ", Printable(one.path) + ": " + Printable(one.why));
  }
  return text;
}

}  // namespace proofdrive::output
