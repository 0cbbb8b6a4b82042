#include "output/text/fit_text.h"

#include <algorithm>
#include <utility>
#include <vector>

#include "analysis/fit/judge_fit.h"
#include "core/base/text.h"
#include "output/sheet/table.h"

namespace proofdrive::output {
namespace {

using analysis::FitFinding;
using analysis::FitKind;
using analysis::FitSeverity;
using analysis::FitSummary;
using analysis::SessionFit;
using Align = Table::Align;

constexpr std::size_t kIdentifiersShown = 10;

std::string Verb(std::size_t count, const char* one, const char* many) {
  return FormatCount(count) + (count == 1 ? one : many);
}

// "17 of 20 frames fit; 2 do not, 1 was never seen."
std::string LeadSentence(const FitSummary& summary) {
  std::vector<std::string> rest;
  if (summary.do_not_fit > 0) rest.push_back(Verb(summary.do_not_fit, " does not", " do not"));
  if (summary.never_seen > 0) {
    rest.push_back(Verb(summary.never_seen, " was never seen", " were never seen"));
  }
  const auto computed = static_cast<std::size_t>(
      std::count_if(summary.findings.begin(), summary.findings.end(), [](const FitFinding& one) {
        return one.severity == FitSeverity::kProblem && one.frame.empty();
      }));
  if (computed > 0) {
    rest.push_back(Verb(computed, " computed signal does not", " computed signals do not"));
  }
  std::string text = FormatCount(summary.fit) + " of " + CountOf(summary.frames, "frame") +
                     (summary.fit == 1 || summary.frames == 1 ? " fits" : " fit");
  if (summary.frames == 0) text = "The definitions describe no frames";
  if (summary.not_tested > 0) {
    rest.push_back(Verb(summary.not_tested, " has", " have") +
                   " a checksum or counter that was not put to the test");
  }
  return text + (rest.empty() ? "" : "; " + Join(rest, ", ")) + ".\n";
}

std::string PlaceText(const FitFinding& finding) {
  if (finding.place.line == 0) return "";
  return finding.place.file + ":" + std::to_string(finding.place.line);
}

std::string Subject(const FitFinding& finding) {
  if (!finding.bus.empty()) return "bus " + finding.bus;
  return finding.signal.empty() ? finding.frame : finding.signal;
}

std::string Problem(const FitFinding& finding) {
  std::string head = (finding.signal.empty() ? "frame " : "signal ") + Subject(finding);
  if (!finding.signal.empty() && !finding.frame.empty()) head += " in " + finding.frame;
  return "\n" + Printable(head) + ": " + std::string(FitKindName(finding.kind)) + "\n" +
         Paragraph("  seen        ", Printable(finding.seen)) +
         Paragraph("  definition  ", Printable(PlaceText(finding) + ": " + finding.defined)) +
         Paragraph("  try         ", Printable(finding.try_next));
}

std::string NoticeText(const FitFinding& finding) {
  std::string text = finding.seen + "; " + finding.defined;
  const bool advice_is_plain = finding.kind == FitKind::kPeriodDiffers ||
                               finding.kind == FitKind::kAlwaysAbsent ||
                               finding.kind == FitKind::kBusNotRecorded;
  return advice_is_plain ? text : text + "; " + finding.try_next;
}

std::string Problems(const FitSummary& summary) {
  std::string text;
  for (const FitFinding& finding : summary.findings) {
    if (finding.severity == FitSeverity::kProblem) text += Problem(finding);
  }
  return text;
}

std::string Notices(const FitSummary& summary) {
  std::vector<const FitFinding*> notices;
  for (const FitFinding& finding : summary.findings) {
    if (finding.severity != FitSeverity::kNotice) continue;
    if (finding.kind != FitKind::kNeverChanges) notices.push_back(&finding);
  }
  if (notices.empty()) return "";
  std::stable_sort(notices.begin(), notices.end(),
                   [](const auto* a, const auto* b) { return a->kind < b->kind; });
  Table table({{"NOTICE"}, {"ABOUT"}, {"PLACE"}, {"SEEN"}});
  for (const FitFinding* notice : notices) {
    table.Add({std::string(FitKindName(notice->kind)), Printable(Subject(*notice)),
               Printable(PlaceText(*notice)), Printable(NoticeText(*notice))});
  }
  return "\n" + table.Format();
}

// In a car that stands still there are many: one line for each frame.
std::string NeverChanged(const SessionFit& fit, const FitSummary& summary) {
  std::size_t count = 0;
  std::size_t width = 0;
  std::vector<std::pair<std::string, std::string>> frames;  // name, its signals
  for (const FitFinding& finding : summary.findings) {
    if (finding.kind != FitKind::kNeverChanges) continue;
    ++count;
    width = std::max(width, CharacterCount(finding.frame));
    const std::string signal = finding.signal + " " + finding.seen;
    if (frames.empty() || frames.back().first != finding.frame) {
      frames.emplace_back(finding.frame, signal);
    } else {
      frames.back().second += ", " + signal;
    }
  }
  if (count == 0) return "";
  std::string text = "\nNever changed: " + FormatCount(count) + " of " +
                     CountOf(fit.signals.size(), "signal") +
                     ". Record while they should change, or check their bits.\n";
  for (const auto& [frame, signals] : frames) {
    const std::string blanks(width - CharacterCount(frame) + 2, ' ');
    text += Paragraph("  " + Printable(frame) + blanks, Printable(signals));
  }
  return text;
}

std::string LengthsText(const analysis::StreamTraffic& traffic) {
  std::vector<std::string> parts;
  for (const auto& [length, frames] : traffic.lengths) parts.push_back(std::to_string(length));
  return Join(parts, ", ");
}

std::string NotDescribed(const SessionFit& fit) {
  if (fit.not_described.empty()) return "";
  Table table({{"NOT DESCRIBED"},
               {"BUS"},
               {"FRAMES", Align::kRight},
               {"ONE EVERY", Align::kRight},
               {"BYTES"}});
  const std::size_t shown = std::min(fit.not_described.size(), kIdentifiersShown);
  for (std::size_t i = 0; i < shown; ++i) {
    const analysis::StreamTraffic& traffic = fit.not_described[i];
    table.Add({FormatId(traffic.id, traffic.flags),
               Printable(analysis::ChannelLabel(fit.header, traffic.channel)),
               FormatCount(traffic.frames), analysis::PeriodWords(traffic.median_period),
               LengthsText(traffic)});
  }
  const std::size_t more = fit.not_described.size() - shown;
  return "\n" + table.Format() +
         (more == 0 ? "" : "and " + FormatCount(more) + " more; --json lists all of them.\n");
}

std::string Tested(const SessionFit& fit) {
  std::vector<std::string> parts;
  for (std::size_t i = 0; i < fit.defined.size(); ++i) {
    const decoders::FrameDefinition& frame = fit.definitions->frames[i];
    const analysis::FrameFit& one = fit.defined[i];
    if (one.decoded == 0) continue;
    std::vector<std::string> what;
    if (frame.checksum && one.checksum_faults == 0) {
      const bool more = one.checksum_contents >= analysis::kContentsCounted;
      what.push_back((more ? "at least " : "") +
                     CountOf(one.checksum_contents, "different content"));
    }
    if (frame.counter && one.counter_faults == 0) {
      what.push_back(CountOf(one.counter_steps, "step") + " of its counter");
    }
    if (!what.empty()) parts.push_back(frame.name + " for " + Join(what, " and "));
  }
  if (parts.empty()) return "";
  return "\n" + Paragraph("Checksum and counter right: ", Printable(Join(parts, "; ")) + ".");
}

}  // namespace

std::string FormatFit(const SessionFit& fit) {
  const FitSummary summary = analysis::JudgeFit(fit);
  return LeadSentence(summary) + Problems(summary) + Notices(summary) + NeverChanged(fit, summary) +
         Tested(fit) + NotDescribed(fit);
}

}  // namespace proofdrive::output
