#include "bench/control_units/fault_book.h"

#include <algorithm>

namespace proofdrive::bench {
namespace {

constexpr int kEarlierCycles = 3;

void LiveThrough(const FaultRow& row, const Scenario& scenario, FaultMemory& memory) {
  memory.Clear();  // when it was built
  const bool failed = row.failed_before != nullptr && row.failed_before(scenario);
  for (int cycle = 0; cycle < kEarlierCycles; ++cycle) {
    memory.BeginCycle();
    memory.Result(failed);
    memory.EndCycle();
  }
  memory.BeginCycle();
}

FrozenConditions Freeze(const Car& car) {
  FrozenConditions frozen;
  frozen.taken = true;
  frozen.pack_decivolt = static_cast<std::uint16_t>(car.cells().PackVoltage() * 10);
  frozen.charge_percent = static_cast<std::uint8_t>(car.cells().MeanCharge() * 100);
  frozen.seconds = static_cast<std::uint16_t>(car.time_s());
  return frozen;
}

void ObserveEntry(const Car& car, FaultEntry& entry) {
  const auto failed = entry.row->failed(car);
  if (!failed || *failed != entry.held) {
    entry.held = failed.value_or(false);
    entry.held_s = 0;
    entry.told = false;
  }
  if (!failed || entry.told) return;
  entry.held_s += kStepSeconds;
  if (entry.held_s < entry.row->settle_s) return;
  entry.told = true;
  entry.memory.Result(*failed);
  if (*failed && !entry.frozen.taken) entry.frozen = Freeze(car);
}

}  // namespace

FaultBook::FaultBook(std::string_view unit, const Scenario& scenario) {
  for (const FaultRow& row : FaultTable()) {
    if (row.unit != unit) continue;
    FaultEntry entry{&row, FaultMemory(row.rule), {}};
    LiveThrough(row, scenario, entry.memory);
    entries_.push_back(entry);
  }
}

void FaultBook::Observe(const Car& car) {
  for (FaultEntry& entry : entries_) ObserveEntry(car, entry);
}

void FaultBook::ClearAll() {
  for (FaultEntry& entry : entries_) Clear(entry.row->code);
}

bool FaultBook::Clear(const decoders::TroubleCode& code) {
  const auto found = std::find_if(entries_.begin(), entries_.end(),
                                  [&](const FaultEntry& entry) { return entry.row->code == code; });
  if (found == entries_.end()) return false;
  found->memory.Clear();
  found->frozen = {};
  found->held_s = 0;
  found->told = false;
  return true;
}

const FaultEntry* FaultBook::Find(const decoders::TroubleCode& code) const {
  for (const FaultEntry& entry : entries_) {
    if (entry.row->code == code) return &entry;
  }
  return nullptr;
}

}  // namespace proofdrive::bench
