// The files of a recording that was split into parts: each a complete session of its own, so that a
// damaged or lost part costs that part only. NAME.session is the first, NAME.part-0002.session the
// second, and so on; the header of each says which recording and which part it is.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/base/files.h"
#include "core/base/result.h"

namespace proofdrive::session {

// "d/x.session" -> "d/x.part-0002.session"; number 1 gives the path itself.
std::string PartPath(const std::string& first_part, std::uint32_t number);
// "d/x.part-0002.session" -> "d/x.session"; any other path stays as it is.
std::string FirstPartPath(const std::string& path);
// The number in the name of a later part, from 2; 1 for any other name.
std::uint32_t PartNumberOf(const std::string& path);

struct PartFile {
  std::string path;
  std::uint32_t number = 1;
};

// "part 2 (x.part-0002.session)", for people.
std::string PartName(const PartFile& part);

// What is to be read when the user says `path`: a session, with or without ".session" at its end,
// and the further parts that lie beside it, by their names and in order. A later part that is named
// itself is read alone. kNotFound says what to give.
Result<std::vector<PartFile>> FindParts(Files& files, const std::string& path);

}  // namespace proofdrive::session
