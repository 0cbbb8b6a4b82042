// A session as long as a day and a half of driving: what opening it and asking it costs.
#pragma once

#include <cstddef>

namespace proofdrive::benchmarks {

// Records `frames` frames of the synthetic log, of which a part is made once and then repeated with
// later and later times, and prints time, memory and bytes read for opening and for single streams.
void ShowLongSession(std::size_t frames);

}  // namespace proofdrive::benchmarks
