// What a state of a role means. Makers name states as they like, in any language: checks ask for
// meanings, and what is not understood is never taken for good news.
#pragma once

#include <cstdint>
#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace proofdrive::decoders {

enum class Meaning : std::uint8_t {
  kNotUnderstood,
  kUnknown,  // the state says that there is nothing to know: starting, invalid
  kSet,
  kClear,
  kClosed,
  kOpen,
  kShort,
  kPrecharging,
  kMoving,  // on its way between open and closed
  kWelded,
  kOn,
  kOff,
  kFault,
  kOk,
  kCharging,
  kNotCharging,
  kLow,
  kEmpty,
};

// "set", "not charging", ...; empty for kNotUnderstood.
std::string_view MeaningName(Meaning meaning);
std::vector<std::string_view> MeaningNames();
// kNotUnderstood when there is none of this name.
Meaning MeaningOfWord(std::string_view name);

// What the states of a role can mean, besides unknown. Empty: no check asks for states of it.
std::span<const Meaning> MeaningsOf(std::string_view role);
// "set, clear or unknown": for a person who has to choose.
std::string MeaningChoices(std::string_view role);
// The signals of the role may also be numbers, without states.
bool MayBeNumbers(std::string_view role);

// From the words of the name, in English, German, French or Spanish, letters of any case, with or
// without accents: "CRASH_LATCHED", "nicht ausgelöst", "ILK_not_closed". Every word must be known
// for this role, and negations count; otherwise kNotUnderstood. Words that makers use both ways
// (reset, NC, Min) are not known.
Meaning MeaningOfName(std::string_view role, std::string_view name);

}  // namespace proofdrive::decoders
