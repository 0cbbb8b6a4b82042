#include "output/words/comparison_words.h"

#include <cstdio>

#include "core/base/text.h"

namespace proofdrive::output {

using analysis::SessionFindings;
using session::Stage;

namespace {

bool IsLateStage(Stage stage) {
  return stage == Stage::kAfterRepair || stage == Stage::kAfterUpdate;
}
bool IsEarlyStage(Stage stage) { return stage == Stage::kArrival || stage == Stage::kBeforeRepair; }

}  // namespace

std::string OrderDoubt(const analysis::Comparison& comparison) {
  const session::Header& before = comparison.before.header;
  const session::Header& after = comparison.after.header;
  if (!before.id.empty() && before.id == after.id) {
    return "both are the same session: nothing can have changed between them.";
  }
  if (IsLateStage(before.stage) && IsEarlyStage(after.stage)) {
    return "the first session is of stage " + std::string(StageName(before.stage)) +
           ", the second of stage " + std::string(StageName(after.stage)) +
           ": are they in the right order? BEFORE comes first.";
  }
  if (comparison.before.frames > 0 && comparison.after.frames > 0 &&
      comparison.after.start < comparison.before.start) {
    return "the first session was recorded later (" + FormatWallTime(comparison.before.start, 0) +
           ") than the second (" + FormatWallTime(comparison.after.start, 0) +
           "): are they in the right order? BEFORE comes first.";
  }
  const std::string one = VehicleOf(comparison.before), two = VehicleOf(comparison.after);
  if (!one.empty() && !two.empty() && one != two) {
    return "the first session is of " + one + ", the second of " + two +
           ": are they of one vehicle?";
  }
  return "";
}

std::string Enumerate(const std::vector<std::string>& parts) {
  if (parts.size() < 2) return Join(parts, "");
  return Join(std::span(parts).first(parts.size() - 1), ", ") + " and " + parts.back();
}

std::string StreamText(const analysis::StreamName& stream) {
  std::string text = FormatId(stream.id, stream.flags);
  if ((stream.flags & kRemote) != 0) text += " remote";
  return stream.frame.empty() ? text : text + " " + stream.frame;
}

std::string PeriodText(Duration period) {
  if (period <= Duration(0)) return "";
  char text[32];
  const double seconds = ToSeconds(period);
  if (seconds >= 1000) return FormatDuration(period);
  const bool short_one = seconds < 0.9995;  // three digits of more are a second
  std::snprintf(text, sizeof(text), short_one ? "%.3g ms" : "%.3g s",
                short_one ? seconds * 1e3 : seconds);
  return text;
}

std::string LengthsText(const std::map<std::uint8_t, std::uint64_t>& lengths) {
  std::vector<std::string> parts;
  for (const auto& entry : lengths) parts.push_back(std::to_string(entry.first));
  return Enumerate(parts) + (parts.size() == 1 && parts[0] == "1" ? " byte" : " bytes");
}

std::string DefinitionsUsed(const SessionFindings& findings) {
  if (findings.definitions == nullptr) return "none";
  std::string text = Join(findings.definitions->files, ", ");
  if (findings.origin == analysis::DefinitionOrigin::kStored) text += " (stored with the session)";
  if (findings.origin == analysis::DefinitionOrigin::kOtherSession) {
    text += " (stored with the other session)";
  }
  return text;
}

std::string DefinitionsJudging(const SessionFindings& before, const SessionFindings& after) {
  using analysis::DefinitionOrigin;
  if (after.definitions == nullptr) return "none";
  const std::string files = Join(after.definitions->files, ", ");
  if (after.origin == DefinitionOrigin::kOtherSession) {
    return files + " (stored with the before-session)";
  }
  if (after.origin != DefinitionOrigin::kStored) return files;
  const bool both = before.origin == DefinitionOrigin::kStored;
  return files + (both ? " (stored with both sessions)" : " (stored with the after-session)");
}

std::string ConditionOf(const SessionFindings& findings) {
  std::string text(session::StateName(findings.state));
  if (findings.damaged) text += ", parts are lost";
  if (findings.drops > 0) text += ", " + FormatCount(findings.drops) + " frames lost";
  if (!findings.clock_steps.empty()) {
    text += ", clock set back " + CountOf(findings.clock_steps.size(), "time");
  }
  return text;
}

std::string VehicleOf(const SessionFindings& findings) {
  const bool defined = findings.header.vehicle.empty() && findings.definitions != nullptr;
  return defined ? findings.definitions->vehicle : findings.header.vehicle;
}

}  // namespace proofdrive::output
