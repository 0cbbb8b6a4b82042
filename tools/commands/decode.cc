#include <optional>
#include <ostream>

#include "analysis/findings/coverage.h"
#include "analysis/findings/findings_of.h"
#include "analysis/pass/pass.h"
#include "decoders/signals/text_value.h"
#include "output/json/decode_json.h"
#include "output/rows/value_rows.h"
#include "output/text/coverage_text.h"
#include "output/text/signal_summary.h"
#include "tools/input/chosen_rows.h"
#include "tools/input/json_output.h"
#include "tools/input/session_input.h"
#include "tools/input/signal_selection.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

// Rows are handed to the stream in pieces of about this size.
constexpr std::size_t kBufferBytes = 1 << 16;

// What a value of text says, nothing for others.
std::string TextOf(const decoders::Definitions& definitions, const decoders::Value& value,
                   ByteSpan payload) {
  const decoders::Signal& signal = definitions.signals[value.signal];
  if (signal.encoding != decoders::Encoding::kText) return {};
  return decoders::TextOf(signal, value.element, payload).value_or("");
}

class DecodeCommand : public Command {
 public:
  std::string name() const override { return "decode"; }
  std::string summary() const override { return "Show the values in a session"; }
  std::string example() const override {
    return "proofdrive decode arrival.session --signals pack_voltage,cell_voltage --format csv";
  }
  void AddOptions(OptionList& options) override {
    options.Add("SESSION", &path_, "Session to read").Required();
    options.Add("--definitions", &definitions_,
                "Definition file to use instead of those stored with the session; repeatable");
    options.Add("--signals", &signals_, "Only these signals, separated by commas").SeparatedBy(',');
    options.Add("--from", &from_,
                "First time: since the start (12.5, 4min8s), seconds since 1970, or ISO 8601");
    options.Add("--to", &to_, "Last time, written like --from");
    options.Add("--format", &format_, "table (default), csv or jsonl")
        .OneOf({"table", "csv", "jsonl"});
    json_.AddTo(options);
  }

  Result<ExitCode> Run(Environment& environment) override {
    if (json_.given() && format_ != "table") {
      return Status(ErrorKind::kInvalidArgument,
                    "--json is the table as JSON; for every value use --format jsonl alone");
    }
    RETURN_IF_ERROR(ParseBounds());
    RETURN_IF_ERROR(json_.Check(environment.files));
    ASSIGN_OR_RETURN(auto reader, OpenSession(environment, path_));
    ASSIGN_OR_RETURN(const auto set,
                     LoadDefinitions(environment, definitions_, path_, reader->header()));
    if (set.definitions == nullptr) return NoDefinitions();
    ASSIGN_OR_RETURN(const auto selection, SignalSelection::Create(*set.definitions, signals_));
    const analysis::Coverage coverage = analysis::CoverageOf(*reader, set);
    if (coverage.Nothing()) Note(environment, output::CoverageText(coverage));
    if (format_ == "table") {
      RETURN_IF_ERROR(PrintTable(environment, *reader, set, selection));
    } else {
      RETURN_IF_ERROR(PrintRows(environment, *reader, set, selection));
    }
    if (ReportLosses(environment, path_, *reader)) return ExitCode::kDamaged;
    return coverage.Nothing() || nothing_ ? ExitCode::kUnproven : ExitCode::kDone;
  }

 private:
  Status NoDefinitions() const {
    return Status(ErrorKind::kNotFound,
                  path_ +
                      " has no definitions stored with it, so its frames cannot be decoded; "
                      "give definition files with --definitions FILE (docs/definitions.md)");
  }

  Status ParseBounds() {
    if (!from_.empty()) {
      ASSIGN_OR_RETURN(bounds_.from, TimeBound::Parse("--from", from_));
    }
    if (!to_.empty()) {
      ASSIGN_OR_RETURN(bounds_.to, TimeBound::Parse("--to", to_));
    }
    if (bounds_.from && bounds_.to && bounds_.from->IsAfter(*bounds_.to)) {
      return Status(ErrorKind::kInvalidArgument, "--from " + from_ + " is after --to " + to_ +
                                                     ": nothing lies between; exchange them");
    }
    return Status::Ok();
  }

  Status PrintTable(Environment& environment, session::Reader& reader,
                    const analysis::DefinitionSet& set, const SignalSelection& selection) {
    output::SessionSummary summary(*set.definitions, selection.Signals());
    const auto visit = [&](const analysis::DecodedFrame& decoded) {
      if (!bounds_.Has(decoded.frame.time, decoded.at)) return true;
      if (summary.frames == 0 && !from_.empty()) summary.from = decoded.at;
      ++summary.frames;
      if (decoded.definition < 0) ++summary.not_described;
      summary.length = decoded.at;
      for (const decoders::Value& value : decoded.values) {
        if (selection.Has(value)) summary.Add(value, decoded.frame.payload());
      }
      return true;
    };
    RETURN_IF_ERROR(analysis::DecodeSession(reader, set, visit, &summary.faults));
    WarnWhenNothingFits(environment, summary.frames, summary.not_described);
    if (json_.given()) RETURN_IF_ERROR(json_.Take(environment, output::SummaryJson(summary)));
    if (!json_.instead() && summary.frames > 0) {
      environment.out << output::FormatSummary(summary);
    }
    return Status::Ok();
  }

  // Rows of chosen signals are read as columns where that is less work; in order of time. False:
  // nothing was printed, because there is none or the frames are better read one by one.
  Result<bool> PrintSeries(Environment& environment, session::Reader& reader,
                           const analysis::DefinitionSet& set, const SignalSelection& selection,
                           const output::ValueRows& rows) {
    if (!ChosenRows::IsWorthwhile(reader, *set.definitions, selection)) return false;
    std::string buffer;
    rows.AppendHeader(buffer);
    bool any = false;
    const auto print = [&](const decoders::Value& value, std::string_view text) {
      any = true;
      rows.AppendRow(value, text, buffer);
      return Flush(environment, buffer, kBufferBytes);
    };
    ChosenRows chosen(set.definitions, selection, bounds_, print);
    analysis::Pass pass(reader, set.definitions);
    pass.Add(chosen);
    RETURN_IF_ERROR(pass.Run());
    chosen.Finish();
    if (any) Flush(environment, buffer, 0);
    return any;
  }

  // False when nobody takes any more.
  static bool Flush(Environment& environment, std::string& buffer, std::size_t above) {
    if (buffer.size() <= above) return true;
    environment.out << buffer;
    buffer.clear();
    return static_cast<bool>(environment.out);
  }

  Status PrintRows(Environment& environment, session::Reader& reader,
                   const analysis::DefinitionSet& set, const SignalSelection& selection) {
    using Form = output::ValueRows::Form;
    const output::ValueRows rows(*set.definitions,
                                 format_ == "csv" ? Form::kCsv : Form::kJsonLines);
    if (!signals_.empty()) {
      ASSIGN_OR_RETURN(const bool done, PrintSeries(environment, reader, set, selection, rows));
      if (done) return Status::Ok();
    }
    std::string buffer;
    rows.AppendHeader(buffer);
    std::uint64_t frames = 0;
    std::uint64_t not_described = 0;
    const auto visit = [&](const analysis::DecodedFrame& decoded) {
      if (!bounds_.Has(decoded.frame.time, decoded.at)) return !IsOver(decoded.at);
      ++frames;
      if (decoded.definition < 0) ++not_described;
      for (const decoders::Value& value : decoded.values) {
        if (!selection.Has(value)) continue;
        rows.AppendRow(value, TextOf(*set.definitions, value, decoded.frame.payload()), buffer);
      }
      return Flush(environment, buffer, kBufferBytes);
    };
    RETURN_IF_ERROR(analysis::DecodeSession(reader, set, visit));
    Flush(environment, buffer, 0);
    WarnWhenNothingFits(environment, frames, not_described);
    return Status::Ok();
  }

  // Nothing within the bounds comes any more: session time never goes back.
  bool IsOver(Duration at) const {
    return bounds_.to && bounds_.to->counts_from_start() && bounds_.to->Compare({}, at) > 0;
  }

  void WarnWhenNothingFits(Environment& environment, std::uint64_t frames,
                           std::uint64_t not_described) {
    nothing_ = frames == 0;
    if (nothing_) {
      Note(environment, path_ + ": no frames in the time asked for.");
    } else if (frames == not_described) {
      Note(environment, path_ +
                            ": none of the frames is described by the definitions; compare "
                            "identifiers and bus names with: proofdrive info " +
                            path_);
    }
  }

  std::string path_;
  std::vector<std::string> definitions_;
  std::vector<std::string> signals_;
  std::string from_;
  std::string to_;
  std::string format_ = "table";
  JsonOutput json_;
  TimeBounds bounds_;
  bool nothing_ = false;  // in the time asked for
};

}  // namespace

std::unique_ptr<Command> MakeDecodeCommand() { return std::make_unique<DecodeCommand>(); }

}  // namespace proofdrive::tools
