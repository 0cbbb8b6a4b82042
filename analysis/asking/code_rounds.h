// What control units said about their trouble codes while a session was recorded, in order of time,
// and which questions they left unanswered. UnitReports has the latest state alone; verdicts ask
// for what came and went.
#pragma once

#include <map>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "decoders/services/answers.h"
#include "decoders/services/conversations.h"

namespace proofdrive::analysis {

// One code as a unit described it.
struct CodeState {
  std::optional<std::uint8_t> status;  // ISO 14229-1 Annex D.2, of the supported bits
  // In the lists of SAE J1979 services 03, 07, 0A.
  bool stored = false;
  bool pending = false;
  bool permanent = false;

  // Failed at its last test or in this operation cycle, pending, confirmed, asking for its warning
  // lamp, or listed by SAE J1979.
  bool IsSet() const;
  friend bool operator==(const CodeState&, const CodeState&) = default;
};

// All a unit told about its codes until it was asked for the same list again, codes were cleared,
// or nothing was asked for kRoundGap.
struct CodeRound {
  WallTime from;
  WallTime to;  // of its last answer; a later round that says the same only moves this
  std::set<std::uint8_t> obd_lists;  // of 03, 07, 0A: those it gave
  bool by_mask = false;              // it gave a list of 19 02
  bool supported = false;            // it gave the list of all codes it can set, 19 0A
  std::uint8_t available = 0;        // status bits it supports
  std::uint8_t asked_for = 0;        // status bits by which 19 02 chose codes
  std::map<decoders::TroubleCode, CodeState> codes;
  std::optional<decoders::MonitorStatus> monitors;

  bool HasLists() const { return by_mask || supported || !obd_lists.empty(); }
};

struct UnitRounds {
  std::uint8_t channel = 0;
  decoders::BusAddress answer;
  std::optional<decoders::BusAddress> request;
  std::vector<CodeRound> rounds;  // with at least one list each
  std::vector<WallTime> cleared;  // it said that it cleared its codes
  std::string refused;            // why it gave no list, in words; empty = it did not refuse
};

// Questions to one address: about codes, or whether anybody is there.
struct AskedAddress {
  std::uint64_t asked = 0;
  std::uint64_t answered = 0;
  WallTime last_answered;
  WallTime last_unanswered;
  // The latest question got no answer.
  bool SilentAtEnd() const { return asked > answered && last_unanswered > last_answered; }
};

// Silence that ends a round.
inline constexpr Duration kRoundGap = std::chrono::seconds(10);

struct CodesHeard {
  std::vector<UnitRounds> units;  // in order of channel and answer identifier
  std::map<std::pair<std::uint8_t, decoders::BusAddress>, AskedAddress> asked;  // by request
  std::set<std::uint8_t> asked_all;  // channels on which all units were asked for codes
};

// Not thread-safe. Room is bounded: equal rounds in a row count once, and of more than kMostRounds
// the first ones and the latest are kept.
class CodeRecorder {
 public:
  static constexpr std::size_t kMostUnits = 1024;
  static constexpr std::size_t kMostRounds = 64;
  static constexpr std::size_t kMostCodes = 4096;  // per round

  // `book` must outlive the object.
  explicit CodeRecorder(const decoders::AddressBook& book) : book_(book) {}

  // Roughly in order of time: a conversation ends when nothing more is expected, so that one with
  // every unit comes seconds later than one with a single unit. kReorder is waited for that.
  static constexpr Duration kReorder = std::chrono::seconds(30);
  void Add(const decoders::Conversation& conversation);
  CodesHeard Finish();

 private:
  using Key = std::pair<std::uint8_t, decoders::BusAddress>;
  struct Unit {
    UnitRounds record;
    std::optional<CodeRound> open;
    std::set<std::vector<std::uint8_t>> lists;  // requests answered in the open round
  };

  struct Told {
    std::vector<std::uint8_t> request;
    decoders::UnitAnswer answer;
  };

  void CountAsked(const decoders::Conversation& conversation);
  void Take(const Told& told);
  Unit* UnitOf(const decoders::SeenMessage& answer);
  void AddPositive(Unit& unit, ByteSpan request, const decoders::SeenMessage& answer);
  CodeRound& RoundFor(Unit& unit, ByteSpan list, WallTime at);
  static void Close(Unit& unit);

  const decoders::AddressBook& book_;
  std::multimap<WallTime, Told> waiting_;
  std::map<Key, Unit> units_;
  std::map<Key, AskedAddress> asked_;
  std::set<std::uint8_t> asked_all_;
};

}  // namespace proofdrive::analysis
