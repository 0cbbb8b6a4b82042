// proofdrive clear: clears the trouble codes of all control units, in two steps, with evidence
// before and after.
#include <nlohmann/json.hpp>
#include <ostream>

#include "core/base/json.h"
#include "output/sheet/table.h"
#include "output/text/asked_text.h"
#include "output/words/cautions.h"
#include "output/words/code_words.h"
#include "tools/daemon/asked_answers.h"
#include "tools/daemon/control_client.h"
#include "tools/daemon/daemon_answers.h"
#include "tools/input/json_output.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

using nlohmann::json;

constexpr char kMeaning[] =
    "Clearing repairs nothing. It deletes the history that tells what has happened, sets every "
    "test to "
    "\"not tested\", and may make the car forget what it has learned. A code whose cause is still "
    "there "
    "comes back when its test runs. Keep the recording.";

class ClearCommand : public Command {
 public:
  std::string name() const override { return "clear"; }
  std::string summary() const override {
    return "Clear the trouble codes of all control units, after storing them";
  }
  std::string example() const override { return "proofdrive clear"; }
  void AddOptions(OptionList& options) override {
    options.Add("--confirm", &confirm_, "The word that the first run of this command gave out");
    options.Add("--reason", &reason_,
                "Why it is done although it is not known whether the car moves or charges");
    AddSocketOption(options, socket_);
    json_.AddTo(options);
  }

  Result<ExitCode> Run(Environment& environment) override {
    RETURN_IF_ERROR(json_.Check(environment.files));
    const json wish = {{"confirm", confirm_}, {"reason", reason_}};
    ASSIGN_OR_RETURN(const std::string answer,
                     AskDaemon(socket_, "POST", "/api/clear", DumpJson(wish)));
    ASSIGN_OR_RETURN(const json document, ParseAnswer(answer));
    if (json_.given()) RETURN_IF_ERROR(json_.Take(environment, DumpJsonDocument(document)));
    if (json_.instead()) {
      return confirm_.empty() ? ExitCode::kUnproven : ExitCode::kDone;
    }
    return confirm_.empty() ? AskAgain(environment, document) : Report(environment, document);
  }

 private:
  static Result<analysis::AskedUnits> Part(const json& document, const char* key) {
    std::string problem;
    const auto found = document.find(key);
    if (found == document.end()) {
      return Status(ErrorKind::kCorrupt, "the daemon's answer is incomplete");
    }
    return ReadAsked(*found, problem);
  }

  Result<ExitCode> AskAgain(Environment& environment, const json& document) const {
    ASSIGN_OR_RETURN(const auto before, Part(document, "before"));
    environment.out << output::FormatCodes(before, "stored now, before anything is cleared") << "\n"
                    << output::Paragraph("", kMeaning)
                    << "\nNothing has been cleared yet. To clear "
                    << "all of this within five minutes:\n  proofdrive clear --confirm "
                    << TextOf(document, "confirm") << "\n";
    return ExitCode::kUnproven;
  }

  Result<ExitCode> Report(Environment& environment, const json& document) const {
    ASSIGN_OR_RETURN(const auto cleared, Part(document, "cleared"));
    ASSIGN_OR_RETURN(const auto after, Part(document, "after"));
    for (const decoders::UnitReport& unit : cleared.units) {
      const bool refused = !unit.refusals.empty();
      environment.out << output::UnitLabel(unit) << (refused ? " refused" : " cleared its codes")
                      << "\n";
    }
    environment.out << "\n" << output::FormatCodes(after, "read back after clearing");
    if (after.faults() > 0) return ExitCode::kOpen;
    return ExitCode::kUnproven;  // nothing has been tested since
  }

  std::string confirm_;
  std::string reason_;
  std::string socket_;
  JsonOutput json_;
};

}  // namespace

std::unique_ptr<Command> MakeClearCommand() { return std::make_unique<ClearCommand>(); }

}  // namespace proofdrive::tools
