#include "output/report/recordings.h"

#include <algorithm>

#include "analysis/verdicts/reasons.h"
#include "core/base/files.h"
#include "core/base/text.h"
#include "output/words/comparison_words.h"

namespace proofdrive::output {
namespace {

using analysis::SessionFindings;

// More would bury the rest; `proofdrive info` lists all.
constexpr std::size_t kMostEvents = 60;

Html Value(const std::string& text) { return Html::Text(text.empty() ? "-" : text); }

std::string SpokenBytes(std::uint64_t bytes) { return FormatCount(bytes) + " bytes"; }

std::string FramesText(const SessionFindings& findings) {
  std::string text = FormatCount(findings.frames);
  if (findings.definitions != nullptr && findings.not_described > 0) {
    text += ", " + FormatCount(findings.not_described) + " of them not described";
  }
  return text;
}

std::string EventText(const SessionFindings& findings, const session::Event& event) {
  std::string text(EventKindName(event.kind));
  if (event.channel) text += " " + analysis::ChannelLabel(findings.header, *event.channel);
  if (!event.text.empty()) text += ": " + event.text;
  if (event.count > 0) text += " (" + FormatCount(event.count) + ")";
  if (event.step != Duration(0)) text += " (" + FormatDuration(event.step) + ")";
  return text;
}

// "2026-03-01 12:00:00 UTC".
std::string DateText(WallTime time) {
  std::string text = FormatWallTime(time, 0);
  std::replace(text.begin(), text.end(), 'T', ' ');
  text.back() = ' ';
  return text + "UTC";
}

std::string Files(const SessionFile& file) {
  if (file.parts.empty()) return "";
  const std::string first = FileNameOf(file.parts.front().path);
  if (file.parts.size() == 1) return first;
  return first + " to " + FileNameOf(file.parts.back().path) + ", " +
         CountOf(file.parts.size(), "file");
}

// "x.session: 12ab...; x.part-0002.session: 34cd...".
std::string Hashes(const SessionFile& file) {
  if (file.parts.size() == 1) return file.parts.front().sha256;
  std::vector<std::string> hashes;
  for (const SessionFile::Part& part : file.parts) {
    hashes.push_back(FileNameOf(part.path) + ": " + part.sha256);
  }
  return Join(hashes, "; ");
}

}  // namespace

std::string RecordingName(const SessionFindings& findings) {
  std::string name(StageName(findings.header.stage));
  if (name.empty()) name = findings.header.name.empty() ? "session" : findings.header.name;
  return findings.frames == 0 ? name : name + " of " + DateText(findings.start);
}

Html RecordingsTable(std::span<const Recording> recordings) {
  std::vector<std::string> titles = {""};
  for (const Recording& one : recordings) titles.push_back(one.title);
  HtmlTable table(titles);
  const auto row = [&](const char* what, auto&& text) {
    std::vector<Html> cells = {Html::Text(what)};
    for (const Recording& one : recordings) cells.push_back(Value(text(one)));
    table.Add(std::move(cells));
  };
  row("file", [](const Recording& r) { return Files(r.file); });
  row("name", [](const Recording& r) { return r.findings->header.name; });
  row("stage", [](const Recording& r) { return std::string(StageName(r.findings->header.stage)); });
  row("vehicle", [](const Recording& r) { return VehicleOf(*r.findings); });
  row("start", [](const Recording& r) {
    return r.findings->frames == 0 ? std::string() : DateText(r.findings->start);
  });
  row("length", [](const Recording& r) { return SpokenDuration(r.findings->length); });
  row("frames", [](const Recording& r) { return FramesText(*r.findings); });
  row("condition", [](const Recording& r) { return ConditionOf(*r.findings); });
  row("definitions", [](const Recording& r) { return DefinitionsUsed(*r.findings); });
  row("recorded from", [](const Recording& r) { return r.findings->header.source; });
  row("recorded by", [](const Recording& r) { return r.findings->header.software; });
  row("notes", [](const Recording& r) { return r.findings->header.notes; });
  row("session id", [](const Recording& r) { return r.findings->header.id; });
  row("size", [](const Recording& r) { return SpokenBytes(r.file.bytes); });
  row("SHA-256 of the file", [](const Recording& r) { return Hashes(r.file); });
  return table.Format();
}

Html EventsTable(std::span<const Recording> recordings) {
  HtmlTable table({"recording", "time", "what happened"});
  std::size_t shown = 0, all = 0;
  for (const Recording& one : recordings) {
    for (const analysis::SessionEvent& event : one.findings->events) {
      if (++all > kMostEvents) continue;
      ++shown;
      table.Add({Html::Text(one.title), Html::Text(SpokenDuration(event.at)),
                 Html::Text(EventText(*one.findings, event.event))});
    }
  }
  if (table.empty()) return {};
  Html html = table.Format();
  if (all > shown) html += Tag("p", "And " + FormatCount(all - shown) + " more.");
  return html;
}

}  // namespace proofdrive::output
