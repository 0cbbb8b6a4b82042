// What one of the bench vehicle's control units answers to a request: ISO 14229-1 and SAE J1979,
// server side. Knows nothing of frames and time.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "bench/control_units/fault_book.h"
#include "core/base/bytes.h"

namespace proofdrive::bench {

class UnitServer {
 public:
  using Bytes = std::vector<std::uint8_t>;

  UnitServer(std::string_view unit, const Scenario& scenario);

  void Observe(const Car& car);
  // The final answer; empty: the unit stays silent. `functional`: asked of every unit, so that it
  // does not say what it does not have (ISO 14229-1, from memory: silent instead of 11, 12, 31,
  // 7E, 7F).
  Bytes Answer(ByteSpan request, bool functional);

  const FaultBook& faults() const { return faults_; }

 private:
  Bytes AnswerAlways(ByteSpan request);
  Bytes Session(ByteSpan request);
  Bytes Present(ByteSpan request);
  Bytes Codes(ByteSpan request);
  Bytes CodesByMask(std::uint8_t report, std::uint8_t mask) const;
  Bytes SnapshotIds() const;
  Bytes Snapshot(ByteSpan request) const;
  Bytes ExtendedData(ByteSpan request) const;
  Bytes Clear(ByteSpan request);
  Bytes Read(ByteSpan request) const;
  Bytes CurrentData(ByteSpan request) const;
  Bytes ObdCodes(std::uint8_t service) const;

  const std::string_view unit_;
  FaultBook faults_;
  std::map<std::uint16_t, Bytes> identifiers_;
  std::uint16_t isolation_kohm_ = 0xFFFF;
  std::uint8_t session_ = 1;
};

}  // namespace proofdrive::bench
