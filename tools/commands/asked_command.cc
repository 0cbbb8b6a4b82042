#include "tools/commands/asked_command.h"

#include <nlohmann/json.hpp>
#include <ostream>

#include "tools/daemon/asked_answers.h"
#include "tools/daemon/control_client.h"
#include "tools/daemon/daemon_answers.h"
#include "tools/input/session_input.h"

namespace proofdrive::tools {

void AskedCommand::AddOptions(OptionList& options) {
  options.Add("SESSION", &path_,
              "Session to read; without one the daemon asks the control units now");
  options.Add("--definitions", &definitions_,
              "Definition file to use instead of those stored with the session; repeatable");
  AddSocketOption(options, socket_);
  json_.AddTo(options);
}

Result<ExitCode> AskedCommand::Run(Environment& environment) {
  RETURN_IF_ERROR(json_.Check(environment.files));
  return path_.empty() ? AskNow(environment) : ReadSession(environment);
}

Result<ExitCode> AskedCommand::ReadSession(Environment& environment) const {
  ASSIGN_OR_RETURN(const auto reader, OpenSession(environment, path_));
  ASSIGN_OR_RETURN(const auto set,
                   LoadDefinitions(environment, definitions_, path_, reader->header()));
  ASSIGN_OR_RETURN(const auto asked, analysis::AskedUnitsOf(*reader, set));
  RETURN_IF_ERROR(Show(environment, asked, path_));
  if (ReportLosses(environment, path_, *reader)) return ExitCode::kDamaged;
  return CodeOf(asked);
}

Result<ExitCode> AskedCommand::AskNow(Environment& environment) const {
  ASSIGN_OR_RETURN(const std::string answer, AskDaemon(socket_, "POST", target(), body()));
  ASSIGN_OR_RETURN(const auto document, ParseAnswer(answer));
  std::string problem;
  ASSIGN_OR_RETURN(const auto asked, ReadAsked(document, problem));
  RETURN_IF_ERROR(Show(environment, asked, "asked now"));
  if (!problem.empty()) Note(environment, "not everything was asked: " + problem);
  return CodeOf(asked);
}

Status AskedCommand::Show(Environment& environment, const analysis::AskedUnits& asked,
                          const std::string& source) const {
  if (json_.given()) RETURN_IF_ERROR(json_.Take(environment, Json(asked, source)));
  if (!json_.instead()) environment.out << Text(asked, source);
  return Status::Ok();
}

}  // namespace proofdrive::tools
