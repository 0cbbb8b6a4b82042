// The key table as text: for docs/definitions.md and for editors.
#pragma once

#include <string>

namespace proofdrive::decoders {

// Markdown tables of all keys, one per kind of mapping, and of all roles and checksums.
std::string KeyReference();

// A JSON Schema (draft 2020-12) of definition files, for editors that complete and check while one
// types. It knows names and types of keys; what only the loader can check is left to it.
std::string KeySchema();

}  // namespace proofdrive::decoders
