// What every session of one daemon says about itself.
#pragma once

#include <string>
#include <vector>

#include "decoders/language/loader.h"
#include "decoders/model/definitions.h"
#include "session/model/header.h"

namespace proofdrive::daemon {

// `source`: the sources as given. `definitions` may be null. Name, stage, notes and clocks are left
// to the recorder.
session::Header MakeSessionHeader(const std::string& source,
                                  const std::vector<session::Channel>& channels,
                                  const decoders::Definitions* definitions,
                                  const std::vector<decoders::SourceText>& texts);

}  // namespace proofdrive::daemon
