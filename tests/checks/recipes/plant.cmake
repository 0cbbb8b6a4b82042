# Follows the recipes of DEVELOPERS.md for a checksum, a check and a command: copies the files with a
# table to WORK, adds the rows they ask for, and writes the new files beside them.
function(copy_with from to anchor added)
  file(READ "${SOURCE}/${from}" text)
  string(FIND "${text}" "${anchor}" found)
  if(found EQUAL -1)
    message(FATAL_ERROR "${from} has no \"${anchor}\" any more: adapt this test and the recipe in DEVELOPERS.md")
  endif()
  string(REPLACE "${anchor}" "${anchor}${added}" text "${text}")
  file(WRITE "${WORK}/${to}" "${text}")
endfunction()

# --- a checksum: one row ---
copy_with(decoders/model/checksums.cc checksums.cc "constexpr Checksum kChecksums[] = {\n"
  "    {\"invented-sum\", 8, Sum8, \"invented for this test\"},\n")

# --- a check: two files and one row ---
file(WRITE "${WORK}/invented_check.h" "#pragma once
#include \"analysis/checking/draft.h\"
namespace proofdrive::analysis {
void CheckInvented(CheckDraft& draft);
}
")
file(WRITE "${WORK}/invented_check.cc" "#include \"invented_check.h\"
namespace proofdrive::analysis {
void CheckInvented(CheckDraft& draft) {
  draft.Judge(CheckStatus::kLookCloser, \"the invented check looked\");
}
}
")
copy_with(analysis/checks/checks.cc with_row.cc "#include \"analysis/checks/balance_check.h\"\n"
  "#include \"invented_check.h\"\n")
file(READ "${WORK}/with_row.cc" text)
string(REPLACE "kChecks = {\n"
  "kChecks = {\n      {\"invented\", \"Invented\", {}, {\"pack voltage\"}, CheckInvented},\n" planted "${text}")
if(planted STREQUAL text)
  message(FATAL_ERROR "analysis/checks/checks.cc has no table any more: adapt this test and the recipe in DEVELOPERS.md")
endif()
file(WRITE "${WORK}/checks.cc" "${planted}")
file(REMOVE "${WORK}/with_row.cc")

# --- a command: one file and one row ---
file(WRITE "${WORK}/invented.cc" "#include <ostream>
#include \"tools/shell/command.h\"
namespace proofdrive::tools {
namespace {
class InventedCommand : public Command {
 public:
  std::string name() const override { return \"invented\"; }
  std::string summary() const override { return \"Invented for a test\"; }
  std::string example() const override { return \"proofdrive invented\"; }
  void AddOptions(OptionList&) override {}
  Result<ExitCode> Run(Environment& environment) override {
    environment.out << \"the invented command ran\\n\";
    return ExitCode::kDone;
  }
};
}  // namespace
std::unique_ptr<Command> MakeInventedCommand() { return std::make_unique<InventedCommand>(); }
}  // namespace proofdrive::tools
")
copy_with(tools/command_table.cc command_table.cc "  ROW(Lint) " "ROW(Invented) ")
