#include <CLI/CLI.hpp>
#include <limits>
#include <ostream>

#include "output/session_info.h"
#include "tools/commands/commands.h"
#include "tools/session_input.h"

namespace proofdrive::tools {
namespace {

class InfoCommand : public Command {
 public:
  std::string name() const override { return "info"; }
  std::string summary() const override { return "Say what sessions hold: when, state, channels"; }
  std::string example() const override { return "proofdrive info arrival.session"; }
  void AddOptions(CLI::App& app) override {
    app.add_option("SESSION", paths_, "Sessions to describe")->required();
    app.add_flag("--all", all_, "Show every stream and event");
    app.add_flag("--json", json_, "Print everything as JSON");
  }

  Result<ExitCode> Run(Environment& environment) override {
    std::vector<output::SessionInfo> infos;
    for (const std::string& path : paths_) {
      ASSIGN_OR_RETURN(const auto reader, OpenSession(environment, path));
      infos.push_back(output::InfoOf(*reader, path));
    }
    Print(environment, infos);
    for (const output::SessionInfo& info : infos) {
      if (info.state == session::State::kDamaged) return ExitCode::kDamaged;
    }
    return ExitCode::kDone;
  }

 private:
  void Print(Environment& environment, const std::vector<output::SessionInfo>& infos) const {
    if (json_) {
      environment.out << output::SessionInfoJson(infos);
      return;
    }
    output::InfoLimits limits;
    if (all_) limits.streams = limits.events = std::numeric_limits<std::size_t>::max();
    for (std::size_t i = 0; i < infos.size(); ++i) {
      environment.out << (i == 0 ? "" : "\n") << output::FormatSessionInfo(infos[i], limits);
    }
  }

  std::vector<std::string> paths_;
  bool all_ = false;
  bool json_ = false;
};

}  // namespace

std::unique_ptr<Command> MakeInfoCommand() { return std::make_unique<InfoCommand>(); }

}  // namespace proofdrive::tools
