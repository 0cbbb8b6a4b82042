#include "output/text/asked_text.h"

#include <algorithm>
#include <functional>
#include <map>

#include "analysis/findings/session_findings.h"
#include "core/base/text.h"
#include "decoders/services/service_names.h"
#include "output/sheet/table.h"
#include "output/words/cautions.h"
#include "output/words/code_words.h"

namespace proofdrive::output {
namespace {

using decoders::ReportedCode;
using decoders::UnitReport;

std::string Line(const std::string& label, const std::string& text) {
  std::string first = label;
  first.resize(std::max<std::size_t>(12, label.size() + 1), ' ');
  return Paragraph(first, text);
}

std::string SessionTime(const analysis::AskedUnits& asked, WallTime time) {
  return FormatDuration(time - asked.start);
}

std::string Conversations(const analysis::AskedUnits& asked) {
  const decoders::ConversationCounts& counts = asked.counts;
  if (counts.all == 0) {
    return "nobody asked a control unit anything while this was recorded; to ask, record with "
           "proofdrived --allow-requests";
  }
  std::string text = CountOf(counts.all, "request") + ": " + FormatCount(counts.complete) +
                     " answered completely, " + FormatCount(counts.unanswered) + " not answered, " +
                     FormatCount(counts.abandoned) + " abandoned";
  const std::uint64_t pending = counts.pending_resolved + counts.pending_open;
  if (pending > 0) {
    text += "; \"response pending\" to " + CountOf(pending, "request") + ", " +
            FormatCount(counts.pending_resolved) + " answered later";
  }
  return text;
}

bool IsHexBytes(std::string_view word) {
  return word.size() % 2 == 0 && word.find_first_not_of("0123456789ABCDEF") == word.npos;
}

// "ReadDTCInformation 04 0A A6 1A FF" -> "ReadDTCInformation"; every request is in the JSON.
std::string ServiceOf(std::string_view request) {
  auto blank = request.rfind(' ');
  while (blank != request.npos && IsHexBytes(request.substr(blank + 1))) {
    request = request.substr(0, blank);
    blank = request.rfind(' ');
  }
  return std::string(request);
}

std::string Heading(const analysis::AskedUnits& asked, const std::string& path) {
  std::string text = Line("session", path) + Line("requests", Conversations(asked));
  std::map<std::string, decoders::RequestCount> services;
  for (const auto& [request, count] : asked.requests) {
    auto& service = services[ServiceOf(request)];
    service.asked += count.asked;
    service.answered += count.answered;
  }
  std::string kinds;
  for (const auto& [request, count] : services) {
    kinds += (kinds.empty() ? "" : "; ") + request + " (" + FormatCount(count.asked) + " asked, " +
             FormatCount(count.answered) + " answered)";
  }
  if (!kinds.empty()) text += Line("asked", kinds);
  if (asked.unasked > 0) {
    text += Line("note", CountOf(asked.unasked, "answer") + " to which no request was recorded");
  }
  for (const std::string& name : asked.silent) {
    text += Line("silent", name + " was asked and never answered: nothing is known about it");
  }
  return text;
}

std::string UnitLine(const analysis::AskedUnits& asked, const UnitReport& unit) {
  std::string text =
      "\n" + UnitLabel(unit) + " on " + analysis::ChannelLabel(asked.header, unit.channel);
  if (unit.request) text += ", asked on " + decoders::FormatAddress(*unit.request);
  return text + ", answers on " + decoders::FormatAddress(unit.answer) + "\n";
}

std::string CodeLines(const analysis::AskedUnits& asked, const ReportedCode& code) {
  std::string text = Line("  " + FormatTroubleCode(code.code), DescribeCode(code.code));
  const std::string state = DescribeState(code);
  if (!state.empty()) text += Line("", state);
  std::string seen = "seen at " + SessionTime(asked, code.first_seen);
  if (code.last_seen != code.first_seen) {
    seen = "seen from " + SessionTime(asked, code.first_seen) + " to " +
           SessionTime(asked, code.last_seen);
  }
  text += Line("", seen);
  for (const decoders::CodeRecord& record : code.snapshots) {
    const std::uint8_t number[] = {*record.record};
    text += Line("", "snapshot " + HexBytes(number) + ": " + ShownBytes(record.data));
  }
  for (const decoders::CodeRecord& record : code.extended) {
    const std::uint8_t number[] = {*record.record};
    text += Line("", "extended data " + HexBytes(number) + ": " + ShownBytes(record.data));
  }
  return text;
}

// What a code without a fault proves: a test that has not run proves nothing.
std::string QuietState(const ReportedCode& code) {
  if (!code.status) return "";
  if (*code.status & decoders::kNotCompletedSinceClear) return " (not tested since clearing)";
  return *code.status & decoders::kNotCompletedThisCycle ? " (not tested in this cycle)"
                                                         : " (tested)";
}

std::string MonitorLine(const decoders::MonitorStatus& status) {
  std::string open;
  for (const decoders::Monitor& monitor : status.monitors) {
    if (!monitor.complete) open += (open.empty() ? "" : ", ") + std::string(monitor.name);
  }
  return std::string(status.lamp ? "lamp on" : "lamp off") + ", " +
         CountOf(status.stored, "confirmed code") +
         (status.monitors.empty() ? "; watches nothing"
          : open.empty()          ? "; all monitors complete"
                                  : "; not complete: " + open);
}

// What was refused for one reason.
struct SameRefusals {
  std::uint8_t code = 0;
  std::uint64_t times = 0;
  std::map<std::string, std::vector<std::string>> requests;  // by service
};

// "DiagnosticSessionControl 03, ReadDTCInformation (3 different requests)"; the JSON lists each.
std::string RequestsText(const SameRefusals& same) {
  std::vector<std::string> parts;
  for (const auto& [service, requests] : same.requests) {
    parts.push_back(requests.size() == 1
                        ? requests.front()
                        : service + " (" + CountOf(requests.size(), "different request") + ")");
  }
  return Join(parts, ", ");
}

// One reason is said once: whoever asks for sixty identifiers in turn is refused sixty times.
std::vector<SameRefusals> Refusals(const UnitReport& unit) {
  std::vector<SameRefusals> list;
  for (const decoders::ReportedRefusal& refusal : unit.refusals) {
    auto same = std::find_if(list.begin(), list.end(),
                             [&](const SameRefusals& one) { return one.code == refusal.code; });
    if (same == list.end()) same = list.insert(list.end(), {refusal.code, 0, {}});
    same->times += refusal.times;
    same->requests[ServiceOf(refusal.request)].push_back(refusal.request);
  }
  return list;
}

std::string AnswerLines(const UnitReport& unit) {
  std::string text;
  for (const SameRefusals& same : Refusals(unit)) {
    text += Line("  refused", RequestsText(same) + ": " + decoders::DescribeRefusal(same.code) +
                                  (same.times > 1 ? ", " + CountOf(same.times, "time") : ""));
  }
  if (unit.pending_open > 0) {
    text += Line("  pending", "said that an answer comes later, and none came: " +
                                  CountOf(unit.pending_open, "time"));
  }
  for (const std::string& oddity : unit.oddities) text += Line("  odd", oddity);
  return text;
}

std::string CodesOfUnit(const analysis::AskedUnits& asked, const UnitReport& unit) {
  std::string text = UnitLine(asked, unit);
  if (unit.lists.empty()) {
    text += Line("  codes", "it gave no list of its codes: nothing can be said about them");
  } else {
    std::vector<std::string> lists(unit.lists.begin(), unit.lists.end());
    text += Line("  lists", Join(lists, ", ") + ": " + CountOf(unit.codes.size(), "code") + ", " +
                                FormatCount(unit.faults()) + " of them failed, pending or stored");
  }
  std::string quiet;
  for (const auto& [key, code] : unit.codes) {
    if (code.is_fault()) {
      text += CodeLines(asked, code);
    } else {
      quiet += (quiet.empty() ? "" : ", ") + FormatTroubleCode(key) + QuietState(code);
    }
  }
  if (!quiet.empty()) text += Line("  no fault", quiet);
  if (unit.monitors) text += Line("  monitors", MonitorLine(*unit.monitors));
  return text + AnswerLines(unit);
}

// The answer in one sentence.
std::string Answer(const analysis::AskedUnits& asked) {
  std::size_t told = 0;
  for (const UnitReport& unit : asked.units) told += unit.lists.empty() ? 0U : 1U;
  const std::uint64_t faults = asked.faults();
  if (told == 0) return "no control unit told its codes: nothing can be said about them";
  const std::string units =
      CountOf(told, "control unit") + " told " + (told == 1 ? "its" : "their");
  if (faults == 0) {
    return units + " codes: none is failed, pending or stored, which alone proves no repair";
  }
  return units + " codes: " + CountOf(faults, "code") + (faults == 1 ? " is" : " are") +
         " failed, pending or stored";
}

// One, below the answer, where there is one.
std::string CautionLine(const analysis::AskedUnits& asked) {
  const bool told = std::any_of(asked.units.begin(), asked.units.end(),
                                [](const UnitReport& unit) { return !unit.lists.empty(); });
  const CautionTopic topics[] = {CautionTopic::kPack};
  return told ? Line("caution", FittingCaution(topics).text) : "";
}

}  // namespace

std::string FormatCodes(const analysis::AskedUnits& asked, const std::string& path) {
  std::string text = Line("answer", Answer(asked)) + CautionLine(asked) + Heading(asked, path);
  for (const UnitReport& unit : asked.units) text += CodesOfUnit(asked, unit);
  return text;
}

std::string FormatIdentification(const analysis::AskedUnits& asked, const std::string& path,
                                 bool show_vin) {
  const auto told = std::count_if(asked.units.begin(), asked.units.end(),
                                  std::mem_fn(&UnitReport::is_identified));
  std::string text =
      Line("answer", told == 0 ? "no control unit told what it is"
                               : CountOf(static_cast<std::uint64_t>(told), "control unit") +
                                     " told what " + (told == 1 ? "it is" : "they are"));
  text += Heading(asked, path);
  for (const UnitReport& unit : asked.units) {
    if (!unit.is_identified()) continue;
    text += UnitLine(asked, unit);
    for (const auto& [identifier, data] : unit.identification) {
      const std::uint8_t number[] = {static_cast<std::uint8_t>(identifier >> 8),
                                     static_cast<std::uint8_t>(identifier & 0xFF)};
      text += Line("  " + HexBytes(number, "") + " " + decoders::IdentifierWords(identifier) + ":",
                   IdentifierText(identifier, data, show_vin));
    }
    for (const auto& [type, information] : unit.information) {
      const std::string_view name = decoders::InformationTypeName(type);
      const std::uint8_t number[] = {type};
      const auto as =
          type == decoders::kVinInformation ? decoders::kVinIdentifier : std::uint16_t{0};
      text += Line("  09 " + HexBytes(number) + " " + std::string(name) + ":",
                   IdentifierText(as, information.data, show_vin));
    }
  }
  return text;
}

}  // namespace proofdrive::output
