// What every session of one daemon says about itself.
#pragma once

#include <string>
#include <vector>

#include "daemon/options/options.h"
#include "decoders/language/loader.h"
#include "decoders/model/definitions.h"
#include "session/model/header.h"

namespace proofdrive::daemon {

// `definitions` may be null. Name, stage, notes and clocks are left to the recorder.
session::Header MakeSessionHeader(const Options& options,
                                  const std::vector<session::Channel>& channels,
                                  const decoders::Definitions* definitions,
                                  const std::vector<decoders::SourceText>& texts);

// "bench:repaired, socketcan:can0": the sources as given.
std::string SourcesText(const Options& options);

}  // namespace proofdrive::daemon
