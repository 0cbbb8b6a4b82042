// The frames of a real recording, which is no part of the project.
#pragma once

#include <vector>

#include "core/frame/frame.h"

namespace proofdrive::benchmarks {

// The dataset car-labelled-injection/clean, where tests look for it; empty, and said so, when it is
// not there.
std::vector<Frame> RealFrames();

}  // namespace proofdrive::benchmarks
