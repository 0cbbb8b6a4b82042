// The caution that fits a result, as a paragraph for people; once, below the answer.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "output/words/cautions.h"

namespace proofdrive::output {

// "Before you touch, charge or drive: ..."
std::string CautionText(std::span<const CautionTopic> topics);

// The others of `all`, one line each, with a title.
std::string FurtherCautions(const std::vector<Caution>& all, std::span<const CautionTopic> topics);

// With a capital letter and a full stop.
std::string Sentence(std::string text);

}  // namespace proofdrive::output
