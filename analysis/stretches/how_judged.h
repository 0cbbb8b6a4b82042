// Which checks of a recording too long to be kept are judged stretch by stretch, which as a whole.
#pragma once

#include <string_view>

namespace proofdrive::analysis {

struct HowJudged {
  std::string_view check;
  // Of each stretch with every value; an alarm of one is an alarm.
  bool stretches = true;
  // Of all of it with fewer values; an alarm is one, too.
  bool whole = true;
  // "Within limits" takes the whole to say so, not only stretches.
  bool whole_decides = true;
  // "Within limits" takes every stretch that brought the signals, and gave the figure, to say so:
  // what one could not tell could be the fault.
  bool every_stretch = false;
  std::string_view figure = "";  // empty: any stretch with the signals
  // The figure whose uncertainty says how much a stretch knows of what does not change from one to
  // the other: an alarm of those that know far less than one within limits says "cannot tell".
  std::string_view known_by = "";
};

// A check that no row names is judged both ways, and within limits only when both say so.
HowJudged HowIsJudged(std::string_view check);

}  // namespace proofdrive::analysis
