// What is asked of control units, in which order, and what came of it.
#pragma once

#include <memory>
#include <set>
#include <string>
#include <vector>

#include "core/base/log.h"
#include "daemon/asking/asker.h"
#include "decoders/model/definitions.h"
#include "decoders/services/unit_reports.h"
#include "session/model/header.h"

namespace proofdrive::daemon {

// A control unit that can be asked.
struct KnownUnit {
  std::string name;  // empty: discovered
  std::uint8_t channel = 0;
  decoders::UnitAddress address;
  friend bool operator==(const KnownUnit&, const KnownUnit&) = default;
};

// Every conversation of one round of questions.
struct AskedRound {
  std::vector<decoders::Conversation> conversations;
  std::string problem;  // why it ended early; empty: it did not
};

class Questions {
 public:
  // `definitions` may be null. All must outlive the object. `channels`: those that can send.
  Questions(Asker& asker, const decoders::Definitions* definitions,
            std::vector<session::Channel> channels);

  // Codes: to all SAE J1979 03, 07, 0A, 01 01; to each unit ReadDTCInformation 02, 0A, and 04 and
  // 06 of its codes that stand for a fault.
  AskedRound Codes();
  // F180 to F19F as far as they say what is installed; with `vin`, also the VIN.
  AskedRound Identification(bool vin);
  // ClearDiagnosticInformation of everything, to each unit.
  AskedRound Clear();
  // One identifier of one named unit.
  Result<decoders::Conversation> Read(const decoders::Reading& reading);

  // What Codes and Identification would send, one line each, for people.
  static std::vector<std::string> Describe(const decoders::Definitions* definitions);
  // The units of the definitions, on every channel of their bus.
  static std::vector<KnownUnit> NamedUnits(const decoders::Definitions* definitions,
                                           const std::vector<session::Channel>& channels);

 private:
  using Bytes = std::vector<std::uint8_t>;

  void Discover(AskedRound& round);
  void AskAll(AskedRound& round, const Bytes& request);
  // The unit's answer, null when it gave none.
  const decoders::UnitAnswer* AskUnit(AskedRound& round, const KnownUnit& unit,
                                      const Bytes& request);
  void AskCodes(AskedRound& round, const KnownUnit& unit);
  void AskRecords(AskedRound& round, const KnownUnit& unit, const Bytes& list);
  bool IsThere(AskedRound& round, const KnownUnit& unit);

  Asker& asker_;
  const std::vector<session::Channel> channels_;
  std::vector<KnownUnit> units_;
  bool discovered_ = false;
  decoders::Permission permission_ = decoders::Permission::kRead;
};

}  // namespace proofdrive::daemon
