// The memory of one trouble code in a control unit: its status byte over operation cycles, as
// ISO 14229-1 Annex D.2 describes it.
#pragma once

#include <cstdint>

namespace proofdrive::bench {

struct FaultRule {
  // Cycles in which the test failed until the code is confirmed.
  std::uint8_t confirm_after = 1;
  // Clean cycles after which a confirmed code is forgotten (the standard's example).
  std::uint8_t age_after = 40;
  bool lamp = false;  // asks for a warning lamp when confirmed, until codes are cleared
};

// Not thread-safe.
class FaultMemory {
 public:
  explicit FaultMemory(FaultRule rule) : rule_(rule) {}

  // ClearDiagnosticInformation.
  void Clear();
  void BeginCycle();
  void EndCycle();
  // A test has run to its end.
  void Result(bool failed);

  std::uint8_t status() const { return status_; }
  // Operation cycles with a failure since the last clear, 0..255: extended data record 01.
  std::uint8_t occurrences() const { return occurrences_; }
  // Clean cycles of a confirmed code: extended data record 02.
  std::uint8_t aging() const { return aging_; }

 private:
  void Set(std::uint8_t bits) { status_ = static_cast<std::uint8_t>(status_ | bits); }
  void Reset(std::uint8_t bits) { status_ = static_cast<std::uint8_t>(status_ & ~bits); }
  bool Has(std::uint8_t bits) const { return (status_ & bits) != 0; }

  FaultRule rule_;
  std::uint8_t status_ = 0x50;
  std::uint8_t trips_ = 0;  // consecutive tested cycles with a failure
  std::uint8_t aging_ = 0;
  std::uint8_t occurrences_ = 0;
};

}  // namespace proofdrive::bench
