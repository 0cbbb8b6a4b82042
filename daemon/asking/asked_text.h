// What came of a round of questions, in one line for people.
#pragma once

#include <string>

#include "decoders/model/definitions.h"
#include "decoders/services/asked_document.h"

namespace proofdrive::daemon {

// "codes, start: pack_controller 3 open (P0AA6-1A, ...); cluster silent". `definitions` may be
// null.
std::string AskedText(const decoders::AskedDocument& document,
                      const decoders::Definitions* definitions);

}  // namespace proofdrive::daemon
