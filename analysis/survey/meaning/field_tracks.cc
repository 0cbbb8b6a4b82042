#include "analysis/survey/meaning/field_tracks.h"

#include <limits>

namespace proofdrive::analysis::survey {
namespace {

const Identifier* Find(const std::vector<Identifier>& identifiers, const FoundFrame& frame) {
  for (const Identifier& one : identifiers) {
    if (one.bus == frame.bus && one.id == frame.id && one.extended == frame.extended) return &one;
  }
  return nullptr;
}

double NumberOf(const Field& field, std::uint64_t raw) {
  const unsigned width = field.location.bits();
  const std::uint64_t all = width >= 64 ? ~std::uint64_t{0} : (std::uint64_t{1} << width) - 1;
  if (field.is_signed == true && width < 64 && ((raw >> (width - 1)) & 1U) != 0) {
    return static_cast<double>(raw) - static_cast<double>(all) - 1;
  }
  if (width >= 8 && raw == all) return std::numeric_limits<double>::quiet_NaN();
  return static_cast<double>(raw);
}

// The rows of one page, or all.
std::vector<std::uint32_t> RowsOf(const Identifier& identifier, const FoundFrame& frame,
                                  const std::optional<decoders::Location>& selector) {
  std::vector<std::uint32_t> rows;
  for (std::uint32_t row = 0; row < identifier.rows.size(); ++row) {
    if (frame.page && selector && ValueIn(*selector, identifier.rows.row(row)) != *frame.page) {
      continue;
    }
    rows.push_back(row);
  }
  return rows;
}

}  // namespace

std::vector<FieldTrack> TracksOf(const std::vector<Identifier>& identifiers,
                                 const std::vector<FoundFrame>& found) {
  std::vector<FieldTrack> tracks;
  std::optional<decoders::Location> selector;
  for (const FoundFrame& frame : found) {
    if (!frame.page) selector = frame.selector;
    const Identifier* identifier = Find(identifiers, frame);
    if (identifier == nullptr || frame.fields.empty()) continue;
    const std::vector<std::uint32_t> rows = RowsOf(*identifier, frame, selector);
    auto times = std::make_shared<std::vector<double>>();
    for (const std::uint32_t row : rows) times->push_back(identifier->rows.times[row]);
    for (const Field& field : frame.fields) {
      FieldTrack track;
      track.name = {frame.bus, frame.id, frame.extended, frame.page, field.location};
      track.kind = field.kind;
      track.certain_bits = field.certain_bits;
      track.times = times;
      for (const std::uint32_t row : rows) {
        track.values.push_back(NumberOf(field, ValueIn(field.location, identifier->rows.row(row))));
      }
      tracks.push_back(std::move(track));
    }
  }
  return tracks;
}

}  // namespace proofdrive::analysis::survey
