#include "bench/control_units/fault_memory.h"

#include "decoders/services/trouble_code.h"

namespace proofdrive::bench {
namespace {

using decoders::StatusBit;

constexpr std::uint8_t kCleared =
    StatusBit::kNotCompletedSinceClear | StatusBit::kNotCompletedThisCycle;

}  // namespace

void FaultMemory::Clear() {
  status_ = kCleared;
  trips_ = aging_ = occurrences_ = 0;
}

void FaultMemory::BeginCycle() {
  Reset(StatusBit::kTestFailedThisCycle);
  Set(StatusBit::kNotCompletedThisCycle);
}

void FaultMemory::Result(bool failed) {
  Reset(kCleared);
  if (!failed) {
    Reset(StatusBit::kTestFailed);
    return;
  }
  if (!Has(StatusBit::kTestFailedThisCycle)) {  // the first time in this cycle
    if (trips_ < 255) ++trips_;
    if (occurrences_ < 255) ++occurrences_;
  }
  aging_ = 0;
  Set(StatusBit::kTestFailed | StatusBit::kTestFailedThisCycle | StatusBit::kPending |
      StatusBit::kFailedSinceClear);
  if (trips_ < rule_.confirm_after) return;
  Set(StatusBit::kConfirmed);
  if (rule_.lamp) Set(StatusBit::kIndicatorRequested);
}

void FaultMemory::EndCycle() {
  const bool clean =
      !Has(StatusBit::kNotCompletedThisCycle) && !Has(StatusBit::kTestFailedThisCycle);
  if (!clean) return;
  Reset(StatusBit::kPending);
  trips_ = 0;
  if (!Has(StatusBit::kConfirmed)) return;
  if (++aging_ >= rule_.age_after) {
    Reset(StatusBit::kConfirmed);
    aging_ = 0;
  }
}

}  // namespace proofdrive::bench
