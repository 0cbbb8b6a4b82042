// proofdrive codes: the trouble codes of control units, from a session or asked for now.
#include "output/json/asked_json.h"
#include "output/text/asked_text.h"
#include "tools/commands/asked_command.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

class CodesCommand : public AskedCommand {
 public:
  std::string name() const override { return "codes"; }
  std::string summary() const override {
    return "Show trouble codes: those told while a session was recorded, or asked for now";
  }
  std::string example() const override { return "proofdrive codes arrival.session"; }

 protected:
  std::string target() const override { return "/api/codes"; }
  std::string Text(const analysis::AskedUnits& asked, const std::string& source) const override {
    return output::FormatCodes(asked, source);
  }
  std::string Json(const analysis::AskedUnits& asked, const std::string& source) const override {
    return output::CodesJson(asked, source);
  }
  ExitCode CodeOf(const analysis::AskedUnits& asked) const override {
    if (asked.faults() > 0) return ExitCode::kOpen;
    return asked.has_lists() && asked.silent.empty() ? ExitCode::kDone : ExitCode::kUnproven;
  }
};

}  // namespace

std::unique_ptr<Command> MakeCodesCommand() { return std::make_unique<CodesCommand>(); }

}  // namespace proofdrive::tools
