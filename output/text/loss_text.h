// Losses of sessions in words, for `verify` and `recover`.
#pragma once

#include <string>
#include <vector>

#include "session/model/loss.h"

namespace proofdrive::output {

bool IsDataLoss(const session::Loss& loss);
bool AnyDataLoss(const std::vector<session::Loss>& losses);

// One paragraph for each: severity, what is missing and where, advice.
std::string FormatLosses(const std::vector<session::Loss>& losses);

}  // namespace proofdrive::output
