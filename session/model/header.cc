#include "session/model/header.h"

#include <array>

#include "core/base/text.h"

namespace proofdrive::session {
namespace {

constexpr std::array<std::string_view, 7> kStageNames = {
    "", "arrival", "before-repair", "after-repair", "drive", "charge", "after-update"};

constexpr std::array<std::string_view, 10> kEventNames = {
    "",      "mark",           "channel state", "drops", "clock step", "error counters",
    "codes", "identification", "poll answer",   "notice"};

}  // namespace

std::string_view StageName(Stage stage) {
  const auto index = static_cast<std::size_t>(stage);
  return index < kStageNames.size() ? kStageNames[index] : "";
}

Result<Stage> ParseStage(std::string_view name) {
  for (std::size_t i = 0; i < kStageNames.size(); ++i) {
    if (kStageNames[i] == name) return static_cast<Stage>(i);
  }
  std::string possible;
  for (std::size_t i = 1; i < kStageNames.size(); ++i) {
    possible += (i == 1 ? "" : ", ") + std::string(kStageNames[i]);
  }
  return Status(ErrorKind::kInvalidArgument,
                "unknown stage '" + Printable(name) + "': use one of " + possible);
}

std::string_view EventKindName(EventKind kind) {
  const auto index = static_cast<std::size_t>(kind);
  return index < kEventNames.size() ? kEventNames[index] : "";
}

std::string_view StateName(State state) {
  switch (state) {
    case State::kRecording:
      return "recording";
    case State::kInterrupted:
      return "interrupted";
    case State::kComplete:
      return "complete";
    case State::kDamaged:
      return "damaged";
  }
  return "";
}

}  // namespace proofdrive::session
