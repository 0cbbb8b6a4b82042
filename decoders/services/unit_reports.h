// What a recording says about every control unit that answered somebody: codes, readiness,
// identification, refusals, and what is wrong with its answers.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "decoders/services/answers.h"
#include "decoders/services/conversations.h"

namespace proofdrive::decoders {

// One trouble code as one unit reported it.
struct ReportedCode {
  TroubleCode code;
  // ISO 14229-1: status byte of its latest report, of the supported bits.
  std::optional<std::uint8_t> status;
  // SAE J1979: in the latest list of services 03, 07, 0A.
  bool stored = false;
  bool pending = false;
  bool permanent = false;
  WallTime first_seen;
  WallTime last_seen;
  std::vector<CodeRecord> snapshots;  // one per record number, the latest
  std::vector<CodeRecord> extended;

  // Stands for a fault: failed at its last test, pending, confirmed, or listed by J1979. A code
  // that is merely listed (never tested, or tested and passed) does not.
  bool is_fault() const;
};

struct ReportedRefusal {
  std::string request;  // in words
  std::uint8_t code = 0;
  std::uint64_t times = 0;
};

struct UnitReport {
  std::uint8_t channel = 0;
  BusAddress answer;
  std::optional<BusAddress> request;
  std::string name;  // of the definition file; empty: discovered

  // Which lists it gave: "19 02", "03", ... Without one, no statement about its codes is possible.
  std::set<std::string> lists;
  std::optional<std::uint8_t> available;  // status bits it supports
  std::map<TroubleCode, ReportedCode> codes;
  std::optional<MonitorStatus> monitors;
  std::map<std::uint16_t, std::vector<std::uint8_t>> identification;  // F180..F19F, latest value
  std::map<std::uint8_t, VehicleInformation> information;             // J1979 service 09
  std::vector<ReportedRefusal> refusals;
  std::vector<std::string> oddities;  // what is wrong with its answers, each kind once

  std::uint64_t positive = 0;
  std::uint64_t refused = 0;
  std::uint64_t pending_resolved = 0;  // said "response pending" and answered later
  std::uint64_t pending_open = 0;      // said so and nothing more
  std::uint64_t broken = 0;            // began to answer and did not end

  std::uint64_t faults() const;
  // It told at least one of its versions or numbers.
  bool is_identified() const { return !identification.empty() || !information.empty(); }
};

struct ConversationCounts {
  std::uint64_t all = 0;
  std::uint64_t complete = 0;
  std::uint64_t unanswered = 0;
  std::uint64_t abandoned = 0;  // an answer broke off or stayed pending
  std::uint64_t functional = 0;
  std::uint64_t pending_resolved = 0;
  std::uint64_t pending_open = 0;
};

// Requests by service, as they were asked: how many, and how many got an answer.
struct RequestCount {
  std::uint64_t asked = 0;
  std::uint64_t answered = 0;
};

// Not thread-safe. Room is bounded: codes, identifiers and oddities per unit have a limit, and what
// exceeds it is named among the oddities.
class UnitReports {
 public:
  // `names`: units the user has named. `book` must outlive the object.
  UnitReports(const AddressBook& book, std::vector<NamedUnit> names);
  UnitReports(AddressBook&& book, std::vector<NamedUnit> names) = delete;

  void Add(const Conversation& conversation);

  const ConversationCounts& counts() const { return counts_; }
  const std::map<std::string, RequestCount>& requests() const { return requests_; }
  // In order of channel and answer identifier.
  std::vector<UnitReport> units() const;
  // Named units that were asked and never answered.
  std::vector<std::string> silent() const;

 private:
  using Key = std::pair<std::uint8_t, BusAddress>;

  UnitReport* UnitOf(const UnitAnswer& answer);
  void Count(const Conversation& conversation);
  void AddAnswer(const Conversation& conversation, const UnitAnswer& answer);
  void AddPositive(UnitReport& unit, ByteSpan request, const SeenMessage& message);

  const AddressBook& book_;
  const std::vector<NamedUnit> names_;
  std::map<Key, UnitReport> units_;
  std::set<BusAddress> asked_;
  ConversationCounts counts_;
  std::map<std::string, RequestCount> requests_;
};

}  // namespace proofdrive::decoders
