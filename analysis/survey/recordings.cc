#include "analysis/survey/recordings.h"

#include <array>
#include <string>

#include "analysis/session/session_timeline.h"

namespace proofdrive::analysis::survey {
namespace {

std::array<std::string, 256> BusNames(const session::Header& header) {
  std::array<std::string, 256> names;
  for (const session::Channel& channel : header.channels) {
    names[channel.number] = channel.bus.empty() ? channel.name : channel.bus;
  }
  return names;
}

bool IsSame(const decoders::FrameDefinition& definition, const Identifier& identifier) {
  if (definition.extended != identifier.extended) return false;
  if (!definition.bus.empty() && !identifier.bus.empty() && definition.bus != identifier.bus) {
    return false;
  }
  const bool is_id = ((definition.id ^ identifier.id) & definition.mask) == 0;
  return is_id || definition.moved_to == identifier.id;
}

void Mark(const decoders::Location& location, BitSet& bits) {
  for (const decoders::Piece& piece : location.pieces) {
    if (piece.byte >= bits.stride()) continue;
    bits.AddMask(piece.byte,
                 static_cast<std::uint8_t>(((1U << piece.count) - 1U) << piece.lowest_bit));
  }
}

void MarkFrame(const decoders::Definitions& definitions,
               const decoders::FrameDefinition& definition, BitSet& bits) {
  for (const std::uint32_t index : definition.signals) {
    const decoders::Signal& signal = definitions.signals[index];
    Mark(signal.location, bits);
    for (const decoders::Location& element : signal.elements) Mark(element, bits);
    for (const decoders::InnerPage& page : signal.inner_pages) Mark(page.where, bits);
  }
  if (definition.page) Mark(*definition.page, bits);
  if (definition.counter) Mark(definition.counter->location, bits);
  if (definition.checksum) Mark(definition.checksum->location, bits);
}

bool AnythingLeft(const Identifier& identifier) {
  const BitSet changed = ChangedBits(identifier.rows);
  for (std::size_t byte = 0; byte < identifier.rows.stride; ++byte) {
    if ((changed.mask(byte) & ~identifier.described.mask(byte)) != 0) return true;
  }
  return false;
}

}  // namespace

Status AddRecording(session::Reader& reader, IdentifierCollector& collector) {
  const auto names = BusNames(reader.header());
  SessionTimeline timeline;
  collector.Break();
  return reader.ForEachBatch([&](std::span<const Frame> frames) {
    for (const Frame& frame : frames) {
      Frame placed = frame;
      const Duration at = timeline.Place(frame);
      placed.time = timeline.start() + at;
      collector.Add(names[frame.channel], placed);
    }
    return true;
  });
}

std::size_t LeaveOutDescribed(const decoders::Definitions& definitions,
                              std::vector<Identifier>& identifiers) {
  for (Identifier& identifier : identifiers) {
    for (const decoders::FrameDefinition& definition : definitions.frames) {
      if (!IsSame(definition, identifier)) continue;
      if (identifier.described.stride() == 0) identifier.described = BitSet(identifier.rows.stride);
      MarkFrame(definitions, definition, identifier.described);
    }
  }
  return std::erase_if(identifiers, [](const Identifier& identifier) {
    return identifier.described.stride() != 0 && !AnythingLeft(identifier);
  });
}

}  // namespace proofdrive::analysis::survey
