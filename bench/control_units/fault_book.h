// The fault memory of one control unit: its codes, their tests while the car runs, and what the
// earlier operation cycles left in them.
#pragma once

#include <vector>

#include "bench/control_units/fault_table.h"

namespace proofdrive::bench {

// Conditions frozen when a test failed first: snapshot record 01.
struct FrozenConditions {
  bool taken = false;
  std::uint16_t pack_decivolt = 0;
  std::uint8_t charge_percent = 0;
  std::uint16_t seconds = 0;  // since the unit woke up
};

struct FaultEntry {
  const FaultRow* row = nullptr;
  FaultMemory memory;
  FrozenConditions frozen;
  double held_s = 0;  // the test has said `held` for this long
  bool held = false;
  bool told = false;  // this stretch has been counted as a result
};

class FaultBook {
 public:
  // Lives through three operation cycles before the scenario and begins the next one.
  FaultBook(std::string_view unit, const Scenario& scenario);

  // Once per step of the car.
  void Observe(const Car& car);
  void ClearAll();
  // False when the unit has no such code. `code` with its failure type.
  bool Clear(const decoders::TroubleCode& code);

  const std::vector<FaultEntry>& entries() const { return entries_; }
  const FaultEntry* Find(const decoders::TroubleCode& code) const;

 private:
  std::vector<FaultEntry> entries_;
};

}  // namespace proofdrive::bench
