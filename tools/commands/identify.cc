// proofdrive identify: versions and numbers of control units, from a session or asked for now.
#include <algorithm>
#include <functional>

#include "output/json/asked_json.h"
#include "output/text/asked_text.h"
#include "tools/commands/asked_command.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

class IdentifyCommand : public AskedCommand {
 public:
  std::string name() const override { return "identify"; }
  std::string summary() const override {
    return "Show versions and numbers of control units: from a session, or asked for now";
  }
  std::string example() const override { return "proofdrive identify arrival.session"; }
  void AddOptions(OptionList& options) override {
    AskedCommand::AddOptions(options);
    options.Add("--vin", &vin_,
                "Show vehicle identification numbers in full, not masked; asked now, the number is "
                "asked for too and so becomes part of the recording");
  }

 protected:
  std::string target() const override { return "/api/identify"; }
  std::string body() const override { return vin_ ? R"({"vin":true})" : R"({"vin":false})"; }
  std::string Text(const analysis::AskedUnits& asked, const std::string& source) const override {
    return output::FormatIdentification(asked, source, vin_);
  }
  std::string Json(const analysis::AskedUnits& asked, const std::string& source) const override {
    return output::IdentificationJson(asked, source, vin_);
  }
  ExitCode CodeOf(const analysis::AskedUnits& asked) const override {
    const bool any = std::any_of(asked.units.begin(), asked.units.end(),
                                 std::mem_fn(&decoders::UnitReport::is_identified));
    return any ? ExitCode::kDone : ExitCode::kUnproven;
  }

 private:
  bool vin_ = false;
};

}  // namespace

std::unique_ptr<Command> MakeIdentifyCommand() { return std::make_unique<IdentifyCommand>(); }

}  // namespace proofdrive::tools
