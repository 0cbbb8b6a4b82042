// proofdrive measured: keeps what a person measured beside a session.
#include <algorithm>
#include <ostream>

#include "analysis/measured/quantity.h"
#include "core/base/text.h"
#include "output/sheet/caution_text.h"
#include "output/sheet/table.h"
#include "output/words/measured_words.h"
#include "tools/input/session_input.h"
#include "tools/input/signal_selection.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

using session::Measurement;

class MeasuredCommand : public Command {
 public:
  std::string name() const override { return "measured"; }
  std::string summary() const override {
    return "Note what you measured by hand beside a session, to hold its values against";
  }
  std::string example() const override {
    return "proofdrive measured \"insulation 2.1 Mohm\" --at 2026-03-01T12:00:30Z "
           "--session arrival.session --how \"insulation tester, 500 V, pack side\"\n"
           "  proofdrive measured \"cell 7 3.652 V\" --at 95 --session arrival.session --how "
           "\"multimeter at the sense plug\"\n"
           "  proofdrive measured --list --session arrival.session\n"
           "Only licensed or trained people measure at the high-voltage system; a signal that is "
           "not proven is no\n  reason to. Quantities: " +
           analysis::QuantitiesInWords();
  }
  void AddOptions(OptionList& options) override {
    options.Add("WHAT", &what_, "What, how much and the unit, in quotes: \"insulation 2.1 Mohm\"");
    options.Add("--session", &path_, "Session that was being recorded").Required();
    options
        .Add("--at", &at_,
             "When: seconds since the start of the session, seconds since 1970, or "
             "2026-03-01T12:00:00Z")
        .Called("TIME");
    options.Add("--how", &how_, "With which instrument, and where");
    options.Add("--list", &list_, "Show what is noted, with numbers");
    options.Add("--remove", &remove_, "Take the measurement with this number away").Called("N");
  }

  Result<ExitCode> Run(Environment& environment) override {
    RETURN_IF_ERROR(CheckWords());
    RETURN_IF_ERROR(CheckNoFolder(environment.files, path_));
    ASSIGN_OR_RETURN(const auto reader, session::OpenRecording(environment.files, path_));
    const session::Header& header = reader->header();
    ASSIGN_OR_RETURN(auto all, session::ReadMeasurements(environment.files, path_, header));
    if (list_) return List(environment, all);
    if (!remove_.empty()) return Remove(environment, header, std::move(all));
    ASSIGN_OR_RETURN(const Measurement one, Parsed(*reader));
    all.push_back(one);
    RETURN_IF_ERROR(session::WriteMeasurements(environment.files, path_, header, all));
    environment.out << output::Paragraph(
        "noted: ", output::MeasuredText(one) + "; it is number " + std::to_string(all.size()));
    TellWhenOutside(environment, *reader, one);
    TellCautions(environment, one);
    return ExitCode::kDone;
  }

 private:
  // One thing at a time.
  Status CheckWords() const {
    const int asked = (what_.empty() ? 0 : 1) + (list_ ? 1 : 0) + (remove_.empty() ? 0 : 1);
    if (asked != 1) {
      return Status(ErrorKind::kInvalidArgument,
                    "measured needs one of: what was measured (\"insulation 2.1 Mohm\"), --list, "
                    "--remove N");
    }
    if (!what_.empty() && (at_.empty() || Trim(how_).empty())) {
      return Status(ErrorKind::kInvalidArgument,
                    "say when and with what it was measured: --at TIME --how \"insulation tester, "
                    "500 V, pack side\"");
    }
    return Status::Ok();
  }

  Result<Measurement> Parsed(const session::Reader& reader) const {
    ASSIGN_OR_RETURN(Measurement one, analysis::ParseMeasured(what_));
    ASSIGN_OR_RETURN(const TimeBound at, TimeBound::Parse("--at", at_));
    one.at = at.At(reader.frame_count() == 0 ? reader.header().started.wall : reader.first_time());
    one.how = Trim(how_);
    return one;
  }

  static Result<ExitCode> List(Environment& environment, const std::vector<Measurement>& all) {
    if (all.empty()) environment.out << "No measurement is noted beside this session.\n";
    for (std::size_t i = 0; i < all.size(); ++i) {
      environment.out << output::Paragraph(std::to_string(i + 1) + "  ",
                                           output::MeasuredText(all[i]));
    }
    return ExitCode::kDone;
  }

  Result<ExitCode> Remove(Environment& environment, const session::Header& header,
                          std::vector<Measurement> all) const {
    const auto number = ParseUint64(remove_);
    if (!number.ok() || *number < 1 || *number > all.size()) {
      return Status(ErrorKind::kInvalidArgument,
                    "--remove " + Printable(remove_) + ": this session has " +
                        CountOf(all.size(), "measurement") + "; see them with --list");
    }
    const Measurement gone = all[*number - 1];
    all.erase(all.begin() + static_cast<std::ptrdiff_t>(*number) - 1);
    RETURN_IF_ERROR(session::WriteMeasurements(environment.files, path_, header, all));
    environment.out << output::Paragraph("taken away: ", output::MeasuredText(gone));
    return ExitCode::kDone;
  }

  void TellWhenOutside(Environment& environment, const session::Reader& reader,
                       const Measurement& one) const {
    if (reader.frame_count() > 0 && one.at >= reader.first_time() && one.at <= reader.last_time()) {
      return;
    }
    Note(environment,
         "that is not within the recording (" +
             (reader.frame_count() == 0 ? std::string("it has no frames")
                                        : FormatWallTime(reader.first_time(), 0) + " to " +
                                              FormatWallTime(reader.last_time(), 0)) +
             "): it is noted, and compared only with values that are near enough");
  }

  static void TellCautions(Environment& environment, const Measurement& one) {
    if (!analysis::IsHighVoltage(one.role)) return;
    const output::CautionTopic topics[] = {output::CautionTopic::kMeasuring};
    environment.out << output::CautionText(topics);
  }

  std::string what_;
  std::string path_;
  std::string at_;
  std::string how_;
  std::string remove_;
  bool list_ = false;
};

}  // namespace

std::unique_ptr<Command> MakeMeasuredCommand() { return std::make_unique<MeasuredCommand>(); }

}  // namespace proofdrive::tools
