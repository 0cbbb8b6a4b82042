// What everything that reads a session is compared with.
#pragma once

#include <string>

namespace proofdrive::benchmarks {

// Every frame of the session, in order, by one thread; ends the program when it cannot be read.
void ReadAll(const std::string& path);

}  // namespace proofdrive::benchmarks
