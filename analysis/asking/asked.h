// Finds what anybody asked control units while a session was recorded, and what they answered.
#pragma once

#include <memory>

#include "analysis/asking/asked_units.h"
#include "analysis/session/definition_set.h"
#include "core/base/result.h"
#include "session/reader.h"

namespace proofdrive::analysis {

// Follows the conversations in a recording, frame by frame. Not thread-safe.
class AskedListener {
 public:
  // Null when no frame of the session can belong to a conversation. Units named in the definitions
  // are known by their names; without definitions they are found by the identifiers that standards
  // give them (docs/asking.md). `reader` must outlive the object.
  static std::unique_ptr<AskedListener> Create(const session::Reader& reader,
                                               const DefinitionSet& set);
  virtual ~AskedListener() = default;

  // Whether frames of this identifier can matter to it.
  virtual bool Wants(std::uint32_t id, bool extended) const = 0;
  // In order of arrival; frames it does not want may be left out.
  virtual void OnFrame(const Frame& frame) = 0;
  virtual AskedUnits Finish() = 0;
};

// The same for a whole session: reads every frame.
Result<AskedUnits> AskedUnitsOf(session::Reader& reader, const DefinitionSet& set);

}  // namespace proofdrive::analysis
