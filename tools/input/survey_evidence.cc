#include "tools/input/survey_evidence.h"

#include <chrono>

#include "analysis/pass/read_series.h"
#include "core/base/text.h"
#include "tools/input/session_input.h"

namespace proofdrive::tools {
namespace {

using analysis::survey::Answers;
using analysis::survey::FieldTrack;
using analysis::survey::FollowAnswer;
using analysis::survey::Identifier;
using analysis::survey::Reference;
using analysis::survey::TimeSpan;

double SecondsOf(WallTime time) {
  return std::chrono::duration<double>(time.time_since_epoch()).count();
}

Result<std::vector<double>> MarkTimes(Environment& environment,
                                      const std::vector<std::string>& paths,
                                      const std::string& pattern) {
  ASSIGN_OR_RETURN(const auto marks, ReadMarks(environment, paths, pattern));
  std::vector<double> times;
  for (const auto& mark : marks) times.push_back(mark.time);
  if (!times.empty()) return times;
  ASSIGN_OR_RETURN(const auto all, ReadMarks(environment, paths, ""));
  return Status(ErrorKind::kNotFound, "--marks " + pattern + ": no mark fits; there are " +
                                          CountOf(all.size(), "other mark"));
}

// Values of a signal of the definitions in all sessions, one after the other.
Result<Reference> ReadSignal(Environment& environment, const std::string& name,
                             const std::vector<std::string>& paths,
                             const std::vector<std::string>& given) {
  Reference reference{name, "", {}, {}};
  bool known = false;
  for (const std::string& path : paths) {
    ASSIGN_OR_RETURN(auto reader, session::OpenRecording(environment.files, path));
    ASSIGN_OR_RETURN(const auto set, LoadDefinitions(environment, given, path, reader->header()));
    if (set.definitions == nullptr) continue;
    const auto signal = set.definitions->FindSignal(name);
    if (!signal) continue;
    known = true;
    reference.unit = set.definitions->signals[*signal].unit;
    const std::vector<std::uint32_t> chosen = {*signal};
    const double start = SecondsOf(reader->first_time());
    ASSIGN_OR_RETURN(const auto all, analysis::ReadSeries(*reader, set.definitions, chosen));
    for (const analysis::Series& series : all) {
      for (std::size_t i = 0; series.element == 0 && i < series.size(); ++i) {
        if (!series.IsValid(i)) continue;
        reference.times.push_back(start + ToSeconds(series.at[i]));
        reference.values.push_back(series.numbers[i]);
      }
    }
  }
  if (!known) {
    return Status(ErrorKind::kNotFound,
                  "--follow " + name +
                      ": there is no such signal in the definitions; a file must end in .csv");
  }
  return reference;
}

Result<std::vector<Reference>> ReadReferences(Environment& environment, const std::string& what,
                                              const std::vector<std::string>& paths,
                                              const std::vector<std::string>& definitions) {
  if (!what.ends_with(".csv")) {
    ASSIGN_OR_RETURN(Reference reference, ReadSignal(environment, what, paths, definitions));
    return std::vector<Reference>{std::move(reference)};
  }
  ASSIGN_OR_RETURN(const std::string text, ReadWholeFile(environment.files, what));
  auto references = analysis::survey::ParseReferences(text);
  if (!references.ok()) return references.status().WithContext(what);
  return references;
}

FollowAnswer Answer(Reference reference, const TimeSpan& span,
                    const std::vector<FieldTrack>& tracks) {
  FollowAnswer answer;
  answer.reference = reference.name;
  const Status placed = analysis::survey::PlaceInTime(span.begin, span.end, reference);
  if (!placed.ok()) {
    answer.notice = placed.message();
    return answer;
  }
  answer.partners = analysis::survey::Follow(reference, tracks);
  if (answer.partners.empty()) {
    answer.notice = "too little of it is within the recording, or it does not change";
  }
  return answer;
}

}  // namespace

bool FitsPattern(std::string_view text, std::string_view pattern) {
  const std::string low_text = LowerAscii(text);
  const std::string low_pattern = LowerAscii(pattern);
  std::size_t t = 0, p = 0, star = std::string::npos, resume = 0;
  while (t < low_text.size()) {
    if (p < low_pattern.size() && (low_pattern[p] == '?' || low_pattern[p] == low_text[t])) {
      ++t, ++p;
    } else if (p < low_pattern.size() && low_pattern[p] == '*') {
      star = p++, resume = t;
    } else if (star != std::string::npos) {
      p = star + 1, t = ++resume;
    } else {
      return false;
    }
  }
  while (p < low_pattern.size() && low_pattern[p] == '*') ++p;
  return p == low_pattern.size();
}

Result<std::vector<analysis::survey::Mark>> ReadMarks(Environment& environment,
                                                      const std::vector<std::string>& paths,
                                                      const std::string& pattern) {
  std::vector<analysis::survey::Mark> marks;
  for (const std::string& path : paths) {
    ASSIGN_OR_RETURN(auto reader, session::OpenRecording(environment.files, path));
    for (const session::Event& event : reader->events()) {
      if (event.kind != session::EventKind::kMark) continue;
      if (!pattern.empty() && !FitsPattern(event.text, pattern)) continue;
      marks.push_back({event.text, SecondsOf(event.time)});
    }
  }
  return marks;
}

Result<Answers> AnswerQuestions(Environment& environment, const SurveyQuestions& questions,
                                const std::vector<std::string>& paths,
                                const std::vector<std::string>& definitions,
                                const std::vector<Identifier>& identifiers,
                                const std::vector<analysis::survey::FoundFrame>& found) {
  Answers answers;
  if (questions.empty()) return answers;
  const TimeSpan span = analysis::survey::SpanOf(identifiers);
  if (!questions.marks.empty()) {
    ASSIGN_OR_RETURN(const auto times, MarkTimes(environment, paths, questions.marks));
    answers.marks_asked = questions.marks;
    answers.marks = analysis::survey::FollowMarks(times, identifiers, found);
  }
  if (questions.follows.empty() && questions.noted.empty() && !questions.relations) return answers;
  const std::vector<FieldTrack> tracks = analysis::survey::TracksOf(identifiers, found);
  if (questions.relations) answers.relations = analysis::survey::FindRelations(tracks);
  for (const std::string& what : questions.follows) {
    ASSIGN_OR_RETURN(auto references, ReadReferences(environment, what, paths, definitions));
    for (Reference& one : references) answers.follows.push_back(Answer(one, span, tracks));
  }
  std::vector<analysis::survey::NotedNumber> notes;
  for (const std::string& text : questions.noted) {
    ASSIGN_OR_RETURN(const auto note, analysis::survey::ParseNoted(text, span.begin));
    notes.push_back(note);
  }
  if (!notes.empty()) answers.noted = analysis::survey::FollowNotes(notes, tracks);
  return answers;
}

}  // namespace proofdrive::tools
