#include "tests/survey/repack.h"

#include <algorithm>
#include <map>

#include "analysis/survey/rows/bit_line.h"
#include "bench/car/random.h"
#include "decoders/model/checksums.h"

namespace proofdrive::survey_tests {
namespace {

using analysis::survey::BitLine;
using analysis::survey::BitPlace;
using analysis::survey::BitSet;
using analysis::survey::Identifier;
using analysis::survey::PayloadRows;
using analysis::survey::Run;
using analysis::survey::ValueIn;

constexpr std::size_t kBytes = 8;

// A signal that is to be put somewhere: its raw values, frame by frame.
struct Source {
  std::size_t bits = 0;
  bool is_signed = false;
  std::vector<std::uint64_t> values;
};

void PutValue(const decoders::Location& location, std::uint64_t value, std::uint8_t* payload) {
  for (std::size_t i = location.pieces.size(); i-- > 0;) {
    const decoders::Piece& piece = location.pieces[i];
    const unsigned mask = ((1U << piece.count) - 1U) << piece.lowest_bit;
    const unsigned part = static_cast<unsigned>(value << piece.lowest_bit) & mask;
    payload[piece.byte] = static_cast<std::uint8_t>((payload[piece.byte] & ~mask) | part);
    value >>= piece.count;
  }
}

class Packer {
 public:
  Packer(const Layout& layout) : layout_(layout), random_(layout.seed, 11) {}

  // One frame that carries as many of the sources as fit; those are taken off the list.
  void PackFrame(std::vector<Source>& sources, const std::vector<double>& times, Recording& out);
  // A frame whose first byte is the page; the fields of all pages have the same places.
  void PackPages(const Identifier& identifier, const TrueFrame& truth, Recording& out);
  void Shuffle(std::vector<Source>& sources) {
    for (std::size_t i = sources.size(); i > 1; --i) {
      std::swap(sources[i - 1], sources[random_.Below(static_cast<std::uint32_t>(i))]);
    }
  }

 private:
  void Reserve(TrueFrame& frame, BitSet& taken);
  std::optional<Run> FreeRun(const BitLine& line, const BitSet& taken, std::size_t from,
                             std::size_t bits) const;
  void Protect(const TrueFrame& frame, std::uint8_t* payload, std::size_t row) const;

  Layout layout_;
  bench::Random random_;
  std::uint32_t next_id_ = 0x100;
};

void Packer::Reserve(TrueFrame& frame, BitSet& taken) {
  if (random_.Below(10) < 8) {
    const auto byte = static_cast<std::uint8_t>(random_.Below(2) == 0 ? 7 : random_.Below(8));
    frame.checksum = decoders::Location{{{byte, 0, 8}}};
    const std::uint32_t kind = random_.Below(4);
    frame.model.constant = random_.Below(256);
    if (kind == 0) frame.model.kind = "xor";
    if (kind == 1) frame.model.kind = "sum-8";
    if (kind >= 2) {
      frame.model.kind = kind == 2 ? "crc-8" : "reflected crc-8";
      frame.model.polynomial = 2 * random_.Below(128) + 1;
    }
    taken.AddMask(byte, 0xFF);
  }
  if (random_.Below(10) < 8) {
    std::uint32_t byte = random_.Below(8);
    while (taken.mask(byte) != 0) byte = random_.Below(8);
    const bool wide = random_.Below(5) == 0;
    const auto lowest = static_cast<std::uint8_t>(wide ? 0 : 4 * random_.Below(2));
    const auto bits = static_cast<std::uint8_t>(wide ? 8 : 4);
    frame.counter = {decoders::Location{{{static_cast<std::uint8_t>(byte), lowest, bits}}},
                     wide ? 255U : 14U + random_.Below(2), 1};
    taken.AddMask(byte, static_cast<std::uint8_t>(((1U << bits) - 1U) << lowest));
  }
}

std::optional<Run> Packer::FreeRun(const BitLine& line, const BitSet& taken, std::size_t from,
                                   std::size_t bits) const {
  for (std::size_t first = from; first + bits <= line.size(); ++first) {
    bool open = true;
    for (std::size_t i = first; i < first + bits && open; ++i) {
      const BitPlace place = line.PlaceOf(i);
      open = !taken.Has(place.byte, place.bit);
    }
    if (open) return Run{first, bits};
  }
  return std::nullopt;
}

std::uint8_t CheckOf(const analysis::survey::ChecksumModel& model, const std::uint8_t* payload,
                     std::size_t place) {
  const auto poly = static_cast<std::uint8_t>(model.polynomial);
  std::uint8_t all = 0;
  std::uint8_t sum = 0;
  unsigned forward = 0;
  unsigned backward = 0;
  const auto table = decoders::MakeCrc8Table(poly);
  unsigned turned = 0;
  for (unsigned i = 0; i < 8; ++i) turned |= ((unsigned{poly} >> i) & 1U) << (7 - i);
  for (std::size_t i = 0; i < kBytes; ++i) {
    if (i == place) continue;
    all = static_cast<std::uint8_t>(all ^ payload[i]);
    sum = static_cast<std::uint8_t>(sum + payload[i]);
    forward = table[forward ^ payload[i]];
    backward ^= payload[i];
    for (int bit = 0; bit < 8; ++bit) {
      backward = (backward >> 1) ^ ((backward & 1U) != 0 ? turned : 0U);
    }
  }
  if (model.kind == "xor") return static_cast<std::uint8_t>(all ^ model.constant);
  if (model.kind == "sum-8") return static_cast<std::uint8_t>(sum + model.constant);
  return static_cast<std::uint8_t>((model.kind == "crc-8" ? forward : backward) ^ model.constant);
}

void Packer::Protect(const TrueFrame& frame, std::uint8_t* payload, std::size_t row) const {
  if (frame.counter) {
    PutValue(frame.counter->location, row % (frame.counter->counts_to + 1), payload);
  }
  if (frame.checksum) {
    const std::size_t place = frame.checksum->pieces.front().byte;
    payload[place] = CheckOf(frame.model, payload, place);
  }
}

void Packer::PackFrame(std::vector<Source>& sources, const std::vector<double>& times,
                       Recording& out) {
  TrueFrame frame;
  frame.bus = "repacked";
  frame.id = next_id_++;
  BitSet taken(kBytes);
  Reserve(frame, taken);
  const BitLine line(kBytes, layout_.order);
  std::size_t from = 0;
  std::vector<Source> packed;
  while (!sources.empty()) {
    if (layout_.most_gap > 0) from += random_.Below(layout_.most_gap + 1);
    const auto run = FreeRun(line, taken, from, sources.back().bits);
    if (!run) break;
    frame.fields.push_back({line.LocationOf(*run), std::nullopt, sources.back().is_signed});
    packed.push_back(std::move(sources.back()));
    sources.pop_back();
    from = run->end();
  }
  Identifier identifier;
  identifier.bus = frame.bus;
  identifier.id = frame.id;
  identifier.rows.stride = kBytes;
  std::array<std::uint8_t, kBytes> empty{};
  for (std::uint8_t& byte : empty) byte = static_cast<std::uint8_t>(random_.Below(256));
  for (std::size_t row = 0; row < times.size(); ++row) {
    std::array<std::uint8_t, kBytes> payload = empty;
    for (std::size_t i = 0; i < packed.size(); ++i) {
      const std::size_t at = std::min(row, packed[i].values.size() - 1);
      PutValue(frame.fields[i].location, packed[i].values[at], payload.data());
    }
    Protect(frame, payload.data(), row);
    identifier.rows.Add(payload, times[row]);
  }
  out.identifiers.push_back(std::move(identifier));
  out.truth.push_back(std::move(frame));
}

void Packer::PackPages(const Identifier& identifier, const TrueFrame& truth, Recording& out) {
  TrueFrame frame;
  frame.bus = "repacked";
  frame.id = next_id_++;
  BitSet taken(kBytes);
  const auto selector = static_cast<std::uint8_t>(random_.Below(2) == 0 ? 0 : 7);
  frame.selector = decoders::Location{{{selector, 0, 8}}};
  taken.AddMask(selector, 0xFF);
  const BitLine line(kBytes, layout_.order);
  std::map<std::string, decoders::Location> places;  // of what had the same place before
  std::size_t from = 0;
  for (const TrueField& field : truth.fields) {
    std::string key;
    for (const auto& piece : field.location.pieces) {
      key += std::to_string(piece.byte) + "." + std::to_string(piece.lowest_bit) + "-";
    }
    if (places.count(key) == 0) {
      const auto run = FreeRun(line, taken, from, field.location.bits());
      if (!run) continue;
      places[key] = line.LocationOf(*run);
      from = run->end();
    }
    frame.fields.push_back({places[key], field.page, field.is_signed});
  }
  Identifier packed;
  packed.bus = frame.bus;
  packed.id = frame.id;
  packed.rows.stride = kBytes;
  for (std::size_t row = 0; row < identifier.rows.size(); ++row) {
    std::array<std::uint8_t, kBytes> payload{};
    const std::uint64_t page = ValueIn(*truth.selector, identifier.rows.row(row));
    PutValue(*frame.selector, page, payload.data());
    for (std::size_t i = 0; i < frame.fields.size(); ++i) {
      if (truth.fields[i].page != page) continue;
      PutValue(frame.fields[i].location,
               ValueIn(truth.fields[i].location, identifier.rows.row(row)), payload.data());
    }
    packed.rows.Add(payload, identifier.rows.times[row]);
  }
  out.identifiers.push_back(std::move(packed));
  out.truth.push_back(std::move(frame));
}

const TrueFrame* TruthFor(const Recording& recording, const Identifier& identifier) {
  for (const TrueFrame& frame : recording.truth) {
    if (frame.bus == identifier.bus && frame.id == identifier.id &&
        frame.extended == identifier.extended) {
      return &frame;
    }
  }
  return nullptr;
}

// Frames that come equally often.
struct Class {
  std::vector<Source> sources;
  std::vector<double> times;
};

}  // namespace

Recording Repack(const Recording& recording, const Layout& layout) {
  Recording out;
  Packer packer(layout);
  std::map<long, Class> classes;  // by period in ms
  for (const Identifier& identifier : recording.identifiers) {
    const TrueFrame* truth = TruthFor(recording, identifier);
    if (truth == nullptr || identifier.rows.size() < 2) continue;
    if (truth->selector) {
      packer.PackPages(identifier, *truth, out);
      continue;
    }
    const double length = identifier.rows.times.back() - identifier.rows.times.front();
    const double period = length / static_cast<double>(identifier.rows.size() - 1);
    Class& one = classes[static_cast<long>(period * 1000 + 0.5)];
    if (one.times.size() < identifier.rows.size()) one.times = identifier.rows.times;
    for (const TrueField& field : truth->fields) {
      Source source{field.location.bits(), field.is_signed, {}};
      for (std::size_t row = 0; row < identifier.rows.size(); ++row) {
        source.values.push_back(ValueIn(field.location, identifier.rows.row(row)));
      }
      one.sources.push_back(std::move(source));
    }
  }
  for (auto& [period, one] : classes) {
    packer.Shuffle(one.sources);
    while (!one.sources.empty()) packer.PackFrame(one.sources, one.times, out);
  }
  return out;
}

}  // namespace proofdrive::survey_tests
