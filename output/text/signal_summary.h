// The values of a session in one table: per signal the latest value, extremes and count; per frame
// the faults.
#pragma once

#include <cstdint>
#include <limits>
#include <string>
#include <vector>

#include "core/base/bytes.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/decoder.h"
#include "decoders/signals/value.h"

namespace proofdrive::output {

// All elements of a series together.
struct SignalSummary {
  std::uint64_t values = 0;  // with a number
  std::uint64_t absent = 0;
  std::uint64_t out_of_range = 0;  // among `values`
  double lowest = std::numeric_limits<double>::infinity();
  double highest = -std::numeric_limits<double>::infinity();
  std::vector<decoders::Value> latest;      // per element; time zero = never seen
  std::vector<std::uint64_t> state_counts;  // one per Signal::states
  std::vector<std::string> latest_texts;    // per element; of a signal of text
};

struct SessionSummary {
  const decoders::Definitions* definitions = nullptr;  // not owned
  std::vector<bool> chosen;                            // per signal: shown
  std::vector<SignalSummary> signals;                  // one per Definitions::signals
  std::vector<decoders::FrameFaults> faults;           // one per Definitions::frames
  std::uint64_t frames = 0;
  std::uint64_t not_described = 0;
  Duration from{0};  // where the time asked for begins; 0: at the start
  Duration length{0};

  SessionSummary(const decoders::Definitions& definitions, std::vector<bool> chosen);
  // `payload` of the frame that brought it: what a signal of text is read from.
  void Add(const decoders::Value& value, ByteSpan payload = {});
};

// For people.
std::string FormatSummary(const SessionSummary& summary);

}  // namespace proofdrive::output
