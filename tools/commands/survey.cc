#include <algorithm>
#include <charconv>
#include <ostream>

#include "analysis/survey/recordings.h"
#include "analysis/survey/survey.h"
#include "core/base/text.h"
#include "output/json/survey_json.h"
#include "output/survey/contents_text.h"
#include "output/survey/survey_text.h"
#include "tools/input/json_output.h"
#include "tools/input/output_file.h"
#include "tools/input/session_input.h"
#include "tools/input/survey_draft.h"
#include "tools/input/survey_evidence.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

using analysis::survey::FoundFrame;
using analysis::survey::Identifier;

constexpr std::size_t kMostContents = 200;

// "2A1" or "0x2A1".
Result<std::uint32_t> ParseId(const std::string& text) {
  std::string_view digits = text;
  if (digits.starts_with("0x") || digits.starts_with("0X")) digits.remove_prefix(2);
  std::uint32_t id = 0;
  const auto [end, error] = std::from_chars(digits.data(), digits.data() + digits.size(), id, 16);
  if (error == std::errc() && end == digits.data() + digits.size() && id <= kMaxExtendedId) {
    return id;
  }
  return Status(ErrorKind::kInvalidArgument,
                "--id " + text + " is no identifier; write it as in --id 2A1");
}

class SurveyCommand : public Command {
 public:
  std::string name() const override { return "survey"; }
  std::string summary() const override {
    return "Look for fields, counters and checksums in frames that nobody has described";
  }
  std::string example() const override {
    return "proofdrive survey drive.session charge.session --id 2A1\n"
           "Several sessions must be of one vehicle.";
  }
  void AddOptions(OptionList& options) override {
    options.Add("SESSION", &paths_, "Sessions of one vehicle, or folders of them").Required();
    options.Add("--id", &ids_, "Only this identifier; repeatable").Called("ID");
    options.Add("--contents", &contents_,
                "Only list what --id ever said, and around each mark; no survey");
    options.Add("--definitions", &definitions_,
                "Definition file: only what it leaves undescribed is surveyed; repeatable");
    options
        .Add(
            "--marks", &questions_.marks,
            "Which bits change at the marks that fit, and hardly ever else (* stands for anything)")
        .Called("PATTERN");
    options
        .Add("--follow", &questions_.follows,
             "Which fields follow this signal of the definitions, or the columns of this file "
             "(time_s, then values); repeatable")
        .Called("SIGNAL|FILE.csv");
    options
        .Add("--noted", &questions_.noted,
             "A number that was read off a display: \"366.1 V at 12:03:10\"; at least four")
        .Called("NUMBER");
    options.Add("--relations", &questions_.relations,
                "Which fields move together: proportional, or one the change of the other");
    options
        .Add("--write", &draft_,
             "Definition file to make from what was found, or to add it to; what stands in it is "
             "kept")
        .Called("DRAFT.yaml");
    json_.AddTo(options);
  }

  Result<ExitCode> Run(Environment& environment) override {
    std::vector<std::uint32_t> ids;
    for (const std::string& text : ids_) {
      ASSIGN_OR_RETURN(const std::uint32_t id, ParseId(text));
      ids.push_back(id);
    }
    RETURN_IF_ERROR(json_.Check(environment.files));
    if (!draft_.empty()) RETURN_IF_ERROR(TakeDraft(environment));
    ASSIGN_OR_RETURN(std::vector<Identifier> identifiers, ReadAll(environment));
    if (!contents_) RETURN_IF_ERROR(LeaveOut(environment, identifiers));
    RETURN_IF_ERROR(Choose(ids, identifiers));
    if (contents_) return ListContents(environment, identifiers);
    const std::vector<FoundFrame> found = analysis::survey::Survey(identifiers);
    ASSIGN_OR_RETURN(const auto answers, AnswerQuestions(environment, questions_, sessions_,
                                                         definitions_, identifiers, found));
    if (!draft_.empty()) RETURN_IF_ERROR(WriteDraft(environment, draft_, found, answers));
    if (json_.given()) RETURN_IF_ERROR(json_.Take(environment, output::SurveyJson(found, answers)));
    if (!json_.instead()) {
      environment.out << (answers.empty() ? output::FormatSurvey(found)
                                          : output::FormatAnswers(answers));
    }
    return damaged_ ? ExitCode::kDamaged : ExitCode::kDone;
  }

 private:
  Result<std::vector<Identifier>> ReadAll(Environment& environment) {
    analysis::survey::IdentifierCollector collector;
    for (const std::string& named : paths_) {
      ASSIGN_OR_RETURN(const auto sessions, SessionsNamed(environment.files, named));
      for (const std::string& path : sessions) {
        ASSIGN_OR_RETURN(auto reader, OpenSession(environment, path));
        RETURN_IF_ERROR(analysis::survey::AddRecording(*reader, collector));
        sessions_.push_back(path);
        damaged_ = ReportLosses(environment, path, *reader) || damaged_;
      }
    }
    if (collector.left_out() > 0) {
      Note(environment, CountOf(collector.left_out(), "frame") +
                            " left out: remote frames, error messages and frames sent here");
    }
    std::vector<Identifier> identifiers = collector.Take();
    if (identifiers.empty()) {
      return Status(ErrorKind::kNotFound,
                    Join(paths_, ", ") + ": there are no data frames to survey");
    }
    for (const Identifier& identifier : identifiers) {
      if (identifier.other_lengths == 0) continue;
      Note(environment, FormatId(identifier.id, identifier.extended ? kExtendedId : 0) + ": " +
                            CountOf(identifier.other_lengths, "frame") +
                            " of another length than most left out");
    }
    return identifiers;
  }

  Result<ExitCode> ListContents(Environment& environment, std::vector<Identifier>& identifiers) {
    if (ids_.empty()) {
      return Status(ErrorKind::kInvalidArgument, "--contents needs --id, for example --id 2A1");
    }
    ASSIGN_OR_RETURN(const auto marks, ReadMarks(environment, sessions_, questions_.marks));
    const std::vector<FoundFrame> found = analysis::survey::Survey(identifiers);
    std::erase_if(identifiers, [](const Identifier& one) { return one.rows.size() == 0; });
    std::size_t at = 0;
    for (Identifier& one : identifiers) {
      while (found[at].page || found[at].id != one.id || found[at].bus != one.bus) ++at;
      one.rows = analysis::survey::WithoutProtection(one.rows, found[at]);
      environment.out << output::FormatContents(
          one, found[at], analysis::survey::ContentsOf(one.rows, kMostContents),
          analysis::survey::AroundMarks(one.rows, marks));
    }
    return damaged_ ? ExitCode::kDamaged : ExitCode::kDone;
  }

  Status LeaveOut(Environment& environment, std::vector<Identifier>& identifiers) {
    if (definitions_.empty()) return Status::Ok();
    ASSIGN_OR_RETURN(const auto set,
                     LoadDefinitions(environment, definitions_, paths_.front(), {}));
    if (set.definitions == nullptr) return Status::Ok();
    const std::size_t described =
        analysis::survey::LeaveOutDescribed(*set.definitions, identifiers);
    Note(environment, CountOf(described, "identifier") + " left out: described in full");
    return Status::Ok();
  }

  // A draft that is there describes already what it says.
  Status TakeDraft(Environment& environment) {
    RETURN_IF_ERROR(CheckOutput(environment.files, {"--write", draft_, true}));
    if (environment.files.KindOf(draft_) == PathKind::kFile) definitions_.push_back(draft_);
    return Status::Ok();
  }

  static Status Choose(const std::vector<std::uint32_t>& ids,
                       std::vector<Identifier>& identifiers) {
    if (ids.empty()) return Status::Ok();
    for (const std::uint32_t id : ids) {
      const bool there = std::any_of(identifiers.begin(), identifiers.end(),
                                     [&](const Identifier& one) { return one.id == id; });
      if (there) continue;
      return Status(ErrorKind::kNotFound,
                    "--id " + FormatId(id, id > kMaxBaseId ? kExtendedId : 0) +
                        ": there is nothing to survey with this identifier; without --id all are");
    }
    std::erase_if(identifiers, [&](const Identifier& one) {
      return std::find(ids.begin(), ids.end(), one.id) == ids.end();
    });
    return Status::Ok();
  }

  std::vector<std::string> paths_;
  std::vector<std::string> sessions_;  // those that the paths name
  SurveyQuestions questions_;
  std::vector<std::string> ids_;
  std::vector<std::string> definitions_;
  std::string draft_;
  bool contents_ = false;
  JsonOutput json_;
  bool damaged_ = false;
};

}  // namespace

std::unique_ptr<Command> MakeSurveyCommand() { return std::make_unique<SurveyCommand>(); }

}  // namespace proofdrive::tools
