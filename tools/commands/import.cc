#include <ostream>

#include "core/base/text.h"
#include "output/json/import_json.h"
#include "output/pcapng/import.h"
#include "output/text/import_text.h"
#include "session/model/names.h"
#include "tools/input/json_output.h"
#include "tools/input/session_input.h"
#include "tools/shell/command.h"
#include "tools/shell/progress.h"

namespace proofdrive::tools {
namespace {

class ImportCommand : public Command {
 public:
  std::string name() const override { return "import"; }
  std::string summary() const override { return "Make a session from a pcapng or pcap capture"; }
  std::string example() const override {
    return "proofdrive import drive.pcapng --session drive.session --bus can0=pack --stage drive";
  }
  void AddOptions(OptionList& options) override {
    options.Add("CAPTURE", &capture_, "Capture of CAN interfaces (link type 227)").Required();
    options.Add("--session", &session_, "Session to make; must not exist").Required();
    options.Add("--bus", &buses_,
                "CHANNEL=BUS: the bus name of a channel in definition files; repeatable");
    options.Add("--stage", &stage_,
                "Why it was recorded: arrival, before-repair, after-repair, drive, charge or "
                "after-update");
    options.Add("--notes", &notes_, "Anything worth knowing about the recording");
    json_.AddTo(options);
  }

  Result<ExitCode> Run(Environment& environment) override {
    RETURN_IF_ERROR(json_.Check(environment.files));
    ASSIGN_OR_RETURN(output::ImportOptions options, Options(environment));
    Progress progress(environment, "import " + FileNameOf(capture_));
    options.progress = progress.Function();
    ASSIGN_OR_RETURN(const output::ImportReport report,
                     output::ImportCapture(environment.files, options));
    for (const std::string& notice : report.notices) Note(environment, Printable(notice));
    if (json_.given()) {
      RETURN_IF_ERROR(json_.Take(environment, output::ImportJson(options.session, report)));
    }
    if (!json_.instead()) environment.out << output::FormatImport(options.session, report);
    const bool damaged = report.capture.loss.has_value() || report.capture.malformed > 0;
    return damaged ? ExitCode::kDamaged : ExitCode::kDone;
  }

 private:
  Result<output::ImportOptions> Options(Environment& environment) const {
    output::ImportOptions options;
    if (!environment.files.Exists(capture_)) {
      return Status(ErrorKind::kNotFound,
                    capture_ + ": there is no such file; give the path of a capture");
    }
    options.capture = capture_;
    options.session = session_.ends_with(session::kSessionEnding)
                          ? session_
                          : session_ + std::string(session::kSessionEnding);
    const std::string name = FileNameOf(options.session);
    options.header.name = name.substr(0, name.size() - session::kSessionEnding.size());
    options.header.notes = notes_;
    options.header.software = std::string("proofdrive ") + PROOFDRIVE_VERSION;
    ASSIGN_OR_RETURN(options.header.stage, session::ParseStage(stage_));
    for (const std::string& pair : buses_) {
      const std::size_t equals = pair.rfind('=');
      if (equals == std::string::npos || equals == 0 || equals + 1 == pair.size()) {
        return Status(ErrorKind::kInvalidArgument,
                      "--bus " + pair + ": write CHANNEL=BUS, for example can0=pack");
      }
      options.buses[pair.substr(0, equals)] = pair.substr(equals + 1);
    }
    return options;
  }

  std::string capture_;
  std::string session_;
  std::vector<std::string> buses_;
  std::string stage_;
  std::string notes_;
  JsonOutput json_;
};

}  // namespace

std::unique_ptr<Command> MakeImportCommand() { return std::make_unique<ImportCommand>(); }

}  // namespace proofdrive::tools
