// The frames of real recordings, which are no part of the project.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/frame/frame.h"

namespace proofdrive::testing {

// The frames of `file` (gzip, rows of time_s,channel,id_hex,extended,fd,data_hex) in the dataset of
// this name, where tests look for it. nullopt, and said so on standard output: it is not there.
std::optional<std::vector<Frame>> RealFrames(const std::string& dataset, const std::string& file);

}  // namespace proofdrive::testing
