// What the checks see of a session: the signals that have a role, over session time, in the unit of
// the role.
#pragma once

#include <array>
#include <memory>
#include <string>
#include <string_view>
#include <vector>

#include "analysis/checking/track.h"
#include "analysis/pass/series.h"
#include "analysis/session/definition_set.h"
#include "core/base/result.h"
#include "decoders/model/definitions.h"
#include "decoders/model/roles.h"
#include "session/beside/measurements.h"
#include "session/reader.h"

namespace proofdrive::analysis {

struct RoleSignal {
  std::string role;
  std::string name;  // of the signal
  std::string unit;  // of the values: the role's, or the signal's when it cannot be converted
  bool unit_fits = true;
  double step = 0;                          // resolution, in `unit`
  double range_low = 0, range_high = 0;     // of the definition; both 0: none
  double largest_raw = 0;                   // all bits set, in `unit`; 0: not meaningful
  std::vector<decoders::StateName> states;  // values are raw numbers when there are any
  decoders::KnownFrom known_from = decoders::KnownFrom::kGuess;
  bool is_series = false;
  std::string positive;         // "discharge", "charge" or empty
  std::vector<Track> elements;  // valid values only; one for a scalar
  std::uint64_t absent = 0;
  std::uint64_t out_of_range = 0;
  // Why it must not be used; empty = it may. Set by the plausibility check.
  std::string unusable;
  // The reason is a state that is not understood: a check that asks for it cannot say "within".
  bool not_understood = false;
  // The reason is that it jumps and comes straight back, which fewer values do not show.
  bool jumps = false;
  bool contradicted = false;  // by what was measured by hand
  // The reason is another definition that says otherwise: a check that would use it cannot say
  // "within" either.
  bool disputed = false;

  const Track& track() const { return elements.front(); }
  bool received() const;
  // Whether the state of this value means one of these. REQUIRES: UnderstandStates.
  bool IsState(double value, std::initializer_list<decoders::Meaning> meanings) const;
};

struct CheckInput {
  // How much of a recording it holds. A stretch that is not the last one goes on: nothing may be
  // said of its end. Of a whole long one fewer values are kept than were sent: nothing may rest on
  // neighbours.
  enum class Part { kAll, kStretch, kLastStretch, kThinned };

  Part part = Part::kAll;
  WallTime start;
  double length_s = 0;
  std::vector<RoleSignal> signals;
  std::vector<session::Measurement> measured;  // by hand, at the same car

  // The first usable signal with this role that brought values; nullptr when there is none.
  const RoleSignal* Find(decoders::RoleName role) const;
  // Where the state of `role` means one of these; empty without the role.
  Intervals WhereState(decoders::RoleName role,
                       std::initializer_list<decoders::Meaning> meanings) const;
  // The scalar track, or an empty one.
  const Track& TrackOf(decoders::RoleName role) const;
  // A gap in this track longer than three periods.
  static double Gap(const Track& track);
};

// Valid values of one element, over session time in the unit of the role.
struct RolePart {
  std::size_t signal = 0;  // index into CheckInput::signals
  std::uint32_t element = 0;
  std::vector<double> time_s, value;
  std::uint64_t absent = 0, out_of_range = 0;  // what else came
  WallTime start;                              // of the session
  double end_s = 0;                            // when the last of all came
};

// From series to what checks see: the signals with a role; text is left out.
class RoleReader {
 public:
  explicit RoleReader(const decoders::Definitions& definitions);

  // Indices into Definitions::signals.
  const std::vector<std::uint32_t>& signals() const { return chosen_; }
  // One for each of signals(), without values.
  std::vector<RoleSignal> Empty() const;
  // Valid until the next call. `part` is of one of signals().
  const RolePart& Read(const Series& part);

 private:
  // A signal without values, and how values become those of the role.
  struct Slot {
    RoleSignal signal;
    double factor = 1, offset = 0;
    bool raw = false;
  };
  static Slot MakeSlot(const decoders::Signal& signal);

  std::vector<std::uint32_t> chosen_;
  std::vector<Slot> slots_;         // one for each of chosen_
  std::vector<std::size_t> place_;  // by signal, in slots_
  RolePart part_;
};

// Adds it to its signal.
void AddPart(const RolePart& part, CheckInput& input);

// Reads the frames of the signals with a role, once, and keeps every value.
Result<CheckInput> ReadCheckInput(session::Reader& reader, const DefinitionSet& set);

}  // namespace proofdrive::analysis
