// Reads the keys that signals, series and readings share: how raw bits become a value.
#pragma once

#include "decoders/language/draft.h"
#include "decoders/language/mapping_reader.h"
#include "decoders/model/definitions.h"

namespace proofdrive::decoders {

// Reads `where`; nullopt when it is missing or wrong.
std::optional<Location> ReadWhere(const MappingReader& reader, const Draft& draft);

// True with `type: text`.
bool IsText(const MappingReader& reader);

// Encoding, scale, offset, unit, range, absent, states, role, positive. `bits` is the size of one
// raw value, 0 when it is not known because of an earlier mistake.
void ReadValueKeys(const MappingReader& reader, unsigned bits, Draft& draft, Signal& signal);

// Warns about a role nobody knows: a slip of the pen would keep a check from finding its signal.
void CheckRole(const MappingReader& reader, const Signal& signal, Draft& draft);

}  // namespace proofdrive::decoders
