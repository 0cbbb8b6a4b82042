#include "analysis/history/history.h"

#include <algorithm>
#include <optional>
#include <ostream>

#include "analysis/findings/findings_of.h"
#include "analysis/history/check_history.h"
#include "analysis/stretches/check_session.h"
#include "analysis/warned/warned_checks.h"
#include "output/json/history_json.h"
#include "output/text/history_text.h"
#include "output/words/cautions.h"
#include "tools/input/json_output.h"
#include "tools/input/output_file.h"
#include "tools/input/session_input.h"
#include "tools/input/settings_option.h"
#include "tools/shell/command.h"
#include "tools/shell/progress.h"

namespace proofdrive::tools {
namespace {

// A session that was found and opened, without its frames.
struct Found {
  std::string path;
  session::Header header;
  WallTime start;
};

class HistoryCommand : public Command {
 public:
  std::string name() const override { return "history"; }
  std::string summary() const override {
    return "Every warning and check in every session of a vehicle, and what that says";
  }
  std::string example() const override {
    return "proofdrive history recordings\n"
           "  proofdrive history arrival.session after-repair.session drive-1.session";
  }
  void AddOptions(OptionList& options) override {
    options
        .Add("SESSION", &paths_,
             "Sessions, or folders of sessions; they are put in order of "
             "time")
        .Required();
    options.Add("--stage", &stage_, "Only sessions of this stage");
    options.Add("--definitions", &definitions_,
                "Definition file to use instead of those stored with the latest session; "
                "repeatable");
    AddSettingsOption(options, assignments_);
    AddOverwriteOption(options, overwrite_);
    json_.AddTo(options, overwrite_);
  }

  Result<ExitCode> Run(Environment& environment) override {
    RETURN_IF_ERROR(json_.Check(environment.files));
    ASSIGN_OR_RETURN(analysis::CheckSettings settings, SettingsOf(assignments_));
    ASSIGN_OR_RETURN(const std::vector<Found> sessions, Find(environment));
    ASSIGN_OR_RETURN(const analysis::DefinitionSet set, Definitions(environment, sessions));
    settings = analysis::WithFacts(settings, set);
    analysis::HistoryBuilder builder;
    std::vector<analysis::CheckedSession> checked;
    bool damaged = false;
    for (const Found& one : sessions) {
      ASSIGN_OR_RETURN(auto reader, OpenSession(environment, one.path));
      RETURN_IF_ERROR(Read(environment, one, *reader, set, settings, builder, checked));
      damaged |= ReportLosses(environment, one.path, *reader);
    }
    const analysis::History history = builder.Finish();
    const auto checks = analysis::CheckHistoryOf(checked, settings.Get("standby.hours"),
                                                 settings.Get("pack.usable_energy"));
    RETURN_IF_ERROR(Print(environment, history, checks));
    if (damaged) return ExitCode::kDamaged;
    if (history.AnyOn()) return ExitCode::kOpen;
    const bool unproven =
        history.warnings.empty() || history.NothingDescribed() || history.AnyUnproven();
    return unproven ? ExitCode::kUnproven : ExitCode::kDone;
  }

 private:
  // Warnings and checks in one pass.
  static Status Read(Environment& environment, const Found& one, session::Reader& reader,
                     const analysis::DefinitionSet& set, const analysis::CheckSettings& settings,
                     analysis::HistoryBuilder& builder,
                     std::vector<analysis::CheckedSession>& checked) {
    Progress progress(environment, "read " + FileNameOf(one.path));
    analysis::FindingsOptions options;
    options.windows = false;
    analysis::FindingsTaker taker(reader, set, options);
    analysis::Pass pass(reader, set.definitions);
    pass.Add(taker);
    std::optional<analysis::CheckTaker> checks;
    if (set.definitions != nullptr) {
      pass.Add(
          checks.emplace(reader, set, settings, MeasuredAt(environment, one.path, one.header)));
    }
    RETURN_IF_ERROR(pass.Run(progress.Function()));
    const analysis::SessionFindings findings = taker.Finish(pass);
    builder.Add(one.path, findings);
    checked.push_back({findings.start, findings.length, {}});
    if (!checks) return Status::Ok();
    checked.back().results = checks->Finish();
    analysis::HoldAgainstWarnings(findings, checked.back().results);
    return Status::Ok();
  }

  Result<std::vector<Found>> Find(Environment& environment) const {
    ASSIGN_OR_RETURN(const session::Stage stage, session::ParseStage(stage_));
    std::vector<std::string> files;
    for (const std::string& path : paths_) {
      ASSIGN_OR_RETURN(const auto named, SessionsNamed(environment.files, path));
      files.insert(files.end(), named.begin(), named.end());
    }
    std::vector<Found> sessions;
    for (const std::string& path : files) {
      ASSIGN_OR_RETURN(const auto reader, OpenSession(environment, path));
      if (!stage_.empty() && reader->header().stage != stage) continue;
      sessions.push_back({path, reader->header(), reader->first_time()});
    }
    if (sessions.empty()) {
      return Status(ErrorKind::kNotFound, "none of the sessions is of stage " + stage_);
    }
    std::stable_sort(sessions.begin(), sessions.end(),
                     [](const Found& a, const Found& b) { return a.start < b.start; });
    return sessions;
  }

  // One set judges all: the files given, else the texts stored with the latest session that has
  // any.
  Result<analysis::DefinitionSet> Definitions(Environment& environment,
                                              const std::vector<Found>& sessions) const {
    const auto latest = std::find_if(sessions.rbegin(), sessions.rend(), [](const Found& one) {
      return !one.header.definitions.empty();
    });
    const Found& chosen = latest == sessions.rend() ? sessions.back() : *latest;
    return LoadDefinitions(environment, definitions_, chosen.path, chosen.header);
  }

  Status Print(Environment& environment, const analysis::History& history,
               const analysis::CheckHistory& checks) const {
    if (json_.given())
      RETURN_IF_ERROR(json_.Take(environment, output::HistoryJson(history, checks)));
    if (json_.instead()) {
      for (const auto& caution : output::CautionsFor(output::CautionContext::kAlways)) {
        Note(environment, caution.text);
      }
      return Status::Ok();
    }
    environment.out << output::FormatHistory(history, checks);
    return Status::Ok();
  }

  std::vector<std::string> paths_;
  std::string stage_;
  std::vector<std::string> definitions_;
  std::vector<std::string> assignments_;
  JsonOutput json_;
  bool overwrite_ = false;
};

}  // namespace

std::unique_ptr<Command> MakeHistoryCommand() { return std::make_unique<HistoryCommand>(); }

}  // namespace proofdrive::tools
