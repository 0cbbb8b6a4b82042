#include "tests/fleet/faults/fault_table.h"

#include <algorithm>
#include <ostream>
#include <vector>

#include "tests/fleet/faults/fault_rows.h"

namespace proofdrive::fleet {

std::span<const FaultRow> AllFaults() {
  static const std::vector<FaultRow> rows = [] {
    std::vector<FaultRow> all;
    for (const auto part : {CarFaults(), HighVoltageFaults(), PackFaults(), DefinitionFaults()}) {
      all.insert(all.end(), part.begin(), part.end());
    }
    return all;
  }();
  return rows;
}

void PrintTo(const FaultRow& row, std::ostream* out) { *out << row.name; }

const FaultRow* FindFault(std::string_view name) {
  const auto rows = AllFaults();
  const auto found = std::find_if(rows.begin(), rows.end(),
                                  [name](const FaultRow& row) { return row.name == name; });
  return found == rows.end() ? nullptr : &*found;
}

}  // namespace proofdrive::fleet
