#include <ostream>

#include "core/base/text.h"
#include "output/export/exporters.h"
#include "tools/input/json_output.h"
#include "tools/input/output_file.h"
#include "tools/input/session_input.h"
#include "tools/shell/command.h"
#include "tools/shell/progress.h"

namespace proofdrive::tools {
namespace {

std::string Forms() {
  std::vector<std::string> forms;
  for (const output::ExporterRow& row : output::Exporters()) {
    forms.push_back(std::string(row.name) + ": " + std::string(row.summary));
  }
  return Join(forms, "; ");
}

class ExportCommand : public Command {
 public:
  std::string name() const override { return "export"; }
  std::string summary() const override { return "Write a session in another form"; }
  std::string example() const override {
    return "proofdrive export arrival.session --to pcapng --out arrival.pcapng";
  }
  void AddOptions(OptionList& options) override {
    options.Add("SESSION", &path_, "Session to export").Required();
    options.Add("--to", &form_, Forms()).Required();
    options.Add("--out", &target_, "File to make").Required();
    AddOverwriteOption(options, overwrite_);
    json_.AddTo(options, overwrite_);
  }

  Result<ExitCode> Run(Environment& environment) override {
    ASSIGN_OR_RETURN(const auto exporter, output::MakeExporter(form_));
    RETURN_IF_ERROR(json_.Check(environment.files));
    ASSIGN_OR_RETURN(const NewFile made,
                     PlanNewFile(environment.files, {"--out", target_, overwrite_}));
    ASSIGN_OR_RETURN(const auto reader, OpenSession(environment, path_));
    Progress progress(environment, "export " + FileNameOf(path_));
    output::ExportOptions options;
    options.target = made.written;
    options.software = std::string("proofdrive ") + PROOFDRIVE_VERSION;
    options.progress = progress.Function();
    ASSIGN_OR_RETURN(const output::ExportReport report,
                     exporter->Export(*reader, environment.files, options));
    RETURN_IF_ERROR(PutInPlace(environment.files, made));
    for (const std::string& notice : report.notices) Note(environment, notice);
    if (json_.given()) {
      RETURN_IF_ERROR(json_.Take(environment, output::ExportJson(target_, report)));
    }
    if (!json_.instead()) environment.out << output::FormatExport(target_, report);
    return ReportLosses(environment, path_, *reader) ? ExitCode::kDamaged : ExitCode::kDone;
  }

 private:
  std::string path_;
  std::string form_;
  std::string target_;
  bool overwrite_ = false;
  JsonOutput json_;
};

}  // namespace

std::unique_ptr<Command> MakeExportCommand() { return std::make_unique<ExportCommand>(); }

}  // namespace proofdrive::tools
