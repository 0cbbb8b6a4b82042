// The checked content of definition files: what frames, signals and warnings a vehicle has.
// Immutable after loading, so every thread may read it. See docs/definitions.md.
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/base/time.h"
#include "core/frame/frame.h"
#include "decoders/model/known_from.h"
#include "decoders/model/meanings.h"
#include "decoders/model/roles.h"

namespace proofdrive::decoders {

// Where a thing was written, for messages of later stages.
struct Place {
  std::string file;
  std::size_t line = 0;
  std::size_t column = 0;
};

// Consecutive bits of one byte: `count` bits from `lowest_bit` (0 = least significant) upward.
struct Piece {
  std::uint8_t byte = 0;
  std::uint8_t lowest_bit = 0;
  std::uint8_t count = 0;
  friend bool operator==(const Piece&, const Piece&) = default;
};

// Pieces from the most significant to the least significant; 1..64 bits together, whole bytes
// and more for text.
struct Location {
  std::vector<Piece> pieces;
  unsigned bits() const;
  // Bytes a payload needs so that all pieces exist.
  std::size_t bytes_needed() const;
  friend bool operator==(const Location&, const Location&) = default;
};

enum class Encoding {
  kUnsigned,
  kSigned,
  kFloat32,
  kFloat64,
  kText,  // whole bytes, up to a frame of them, in the order of the payload; see TextOf
};

// A named raw value or range of raw values.
struct StateName {
  std::int64_t first = 0;  // raw, after sign extension
  std::int64_t last = 0;
  std::string name;
  // As the definition file says it (`means`); what the name says is MeaningOfName.
  Meaning means = Meaning::kNotUnderstood;
};

struct Range {
  double low = 0;
  double high = 0;
};

// A condition in the words of the author, for example "coolant_level == low".
struct Condition {
  std::string text;
  Place place;
};

// A page within a page: the number that must be at `where`.
struct InnerPage {
  Location where;
  std::uint64_t page = 0;
};

// Something known of the vehicle that no frame says, for the checks.
struct Fact {
  std::string name;   // "pack.capacity", a key of "facts"
  std::string value;  // as written: a number above 0 in the unit of the key, or one of its words
};

struct Bus {
  std::string name;
  std::uint32_t bitrate = 0;       // bit/s, 0 = not stated
  std::uint32_t data_bitrate = 0;  // bit/s, 0 = classic CAN
};

// One scalar signal, or one series (a long list sent in pages: count > 1 possible).
struct Signal {
  std::string name;
  std::string frame;  // name of its frame; empty for readings and computed signals
  Location location;  // of element 0 within its frame; for a series of its first one
  Encoding encoding = Encoding::kUnsigned;
  double scale = 1;
  double offset = 0;  // physical = raw * scale + offset
  std::string unit;
  std::optional<Range> range;         // physical; outside is kOutOfRange
  std::vector<std::uint64_t> absent;  // raw bit patterns that mean "no value"
  std::vector<StateName> states;
  std::string role;      // "pack voltage", "cell voltages", ...; empty = none
  std::string positive;  // meaning of a positive value: "discharge" or "charge"; or empty
  // Of a computed signal: the weakest of itself and what it is computed from.
  KnownFrom known_from = KnownFrom::kGuess;
  bool is_series = false;
  std::uint32_t count = 1;  // elements of a series
  std::uint32_t per_page = 1;
  std::uint32_t element_stride_bits = 0;  // distance between elements within a page
  std::uint32_t first_page = 0;           // the page that carries element 0
  std::vector<Location> elements;       // of the elements of one page (per_page many); series only
  std::optional<std::uint64_t> page;    // present only on the page with this number
  std::vector<InnerPage> inner_pages;   // and within it only on these, outermost first
  std::optional<Condition> valid_when;  // absent unless this holds
  Place place;

  // Name of a state, empty when the raw value has none. `raw` after sign extension.
  std::string StateOf(std::int64_t raw) const;
};

struct CounterRule {
  Location location;
  std::uint64_t counts_to = 0;  // last value before it starts again at 0
};

// Which bytes of its data id a frame of AUTOSAR E2E profile 1 is calculated with.
enum class DataIdMode : std::uint8_t {
  kBoth,         // low byte, then high byte
  kAlternating,  // low byte when the counter is even, high byte when it is odd
  kLow,          // low byte
  kNibble,       // low byte, then 0; the low half of the high byte is sent in the frame
};

// What a checksum is calculated with besides the bytes of the frame; kinds use parts of it.
struct ChecksumSettings {
  std::vector<std::uint16_t> data_ids;  // one; 16 by value of the counter for profile 2
  DataIdMode mode = DataIdMode::kBoth;
  std::uint8_t polynomial = 0;  // without its highest bit, most significant bit first
  std::uint8_t start = 0;
  std::uint8_t final_xor = 0;
};

struct ChecksumRule {
  Location location;
  std::string kind;             // a name of the checksum table
  std::uint8_t first_byte = 0;  // of the bytes it covers; the location itself is left out
  std::uint8_t last_byte = 0;
  ChecksumSettings settings;
  Location nibble;  // DataIdMode::kNibble: where the half byte of the data id is sent
};

struct FrameDefinition {
  std::string name;
  std::string bus;  // empty = any
  std::uint32_t id = 0;
  // Stands for every identifier that equals `id` in these bits. Frames whose mask leaves no bit out
  // are looked for first, then the others in order of definition.
  std::uint32_t mask = kMaxExtendedId;
  // Its identifier since an update; frames with `id` are this one, too. Never with a mask.
  std::optional<std::uint32_t> moved_to;
  bool extended = false;
  std::optional<Duration> every;    // nominal period
  std::optional<Duration> timeout;  // silent this long: stale; three periods when not stated
  std::optional<std::uint8_t> length;
  std::optional<Location> page;        // selects which page this frame carries
  std::vector<std::uint32_t> signals;  // indices into Definitions::signals
  std::optional<CounterRule> counter;
  std::optional<ChecksumRule> checksum;
  Place place;
};

enum class WarningSeverity { kNote, kSoon, kStop };
std::string_view WarningSeverityName(WarningSeverity severity);  // "note", "soon", "stop"

struct ProvenBy {
  Condition condition;
  Duration hold{0};         // how long it must hold without a break
  std::uint32_t times = 1;  // how often
};

struct Warning {
  std::string name;
  std::string text;
  Condition when;
  Duration set_after{0};    // `on after`: condition must hold this long
  Duration clear_after{0};  // `off after`: condition must be false this long
  WarningSeverity severity = WarningSeverity::kNote;
  std::optional<Condition> only_while;  // unknown unless this holds
  std::optional<ProvenBy> proven_by;
  KnownFrom known_from = KnownFrom::kGuess;  // of its conditions, apart from their signals
  Place place;
};

// A control unit that answers requests (ISO 15765-2 addresses).
struct ControlUnit {
  std::string name;
  std::string bus;            // empty = any
  std::uint32_t request = 0;  // identifier of frames to it
  std::uint32_t answer = 0;   // identifier of frames from it
  bool extended = false;
  // Extended addressing (ISO 15765-2): the byte before the length; both or none.
  std::optional<std::uint8_t> address_byte;  // of frames to it
  std::optional<std::uint8_t> answer_byte;   // of frames from it
  bool fd = false;                           // is asked in CAN FD frames
  Place place;
};

// A value that is asked for by identifier (ISO 14229-1 ReadDataByIdentifier).
struct Reading {
  std::uint32_t signal = 0;  // index into Definitions::signals; location is in the answer's data
  std::string control_unit;
  std::uint16_t identifier = 0;
  Duration every{0};
};

// A signal that is calculated from others.
struct Computed {
  std::uint32_t signal = 0;  // index into Definitions::signals
  Condition formula;
};

struct Definitions {
  std::string vehicle;
  std::vector<Fact> facts;  // each name once
  std::vector<Bus> buses;
  std::vector<FrameDefinition> frames;
  std::vector<Signal> signals;
  std::vector<Warning> warnings;
  std::vector<ControlUnit> control_units;
  std::vector<Reading> readings;
  std::vector<Computed> computed;
  std::vector<std::string> files;  // in the order they were read

  // Index of a signal, frame or warning by name; nullopt when there is none.
  std::optional<std::uint32_t> FindSignal(std::string_view name) const;
  std::optional<std::uint32_t> FindFrame(std::string_view name) const;
  std::optional<std::uint32_t> FindWarning(std::string_view name) const;
  // Every signal with this role, in order of definition.
  std::vector<std::uint32_t> SignalsWithRole(RoleName role) const;
};

}  // namespace proofdrive::decoders
