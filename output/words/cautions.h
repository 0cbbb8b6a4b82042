// The short cautions shown with results that could lead to touching, charging or driving a car.
// The only place that has them. They never replace the maker's instructions.
#pragma once

#include <span>
#include <string>
#include <string_view>
#include <vector>

namespace proofdrive::output {

// Where the result is shown decides which cautions belong to it.
enum class CautionContext {
  kAlways,   // any result about the vehicle
  kTouch,    // warnings that invite to open or measure something
  kCharge,   // results about charging, isolation, coolant in the pack
  kCompare,  // verdicts of a repair
};

struct Caution {
  std::string text;   // one or two sentences
  std::string basis;  // published source, "common practice, no source" or "project rule"
};

// What a result is about, as far as another caution fits it; the first one counts most.
enum class CautionTopic {
  kWetPack,    // coolant, moisture or a leak in the pack
  kDriedPack,  // insulation that came back
  kInterlock,  // what opens a circuit: interlock, contactors, crash disconnect, monitors
  kCharging,   // charging
  kPack,       // anything else of the high-voltage system
  kMeasuring,  // somebody measures at it
  kOther,      // nothing of it
};
// The topic of what a signal with this role tells when it is not as it should be; kOther for no
// role.
CautionTopic TopicOfRole(std::string_view role);

// The one caution that fits a result about these topics.
Caution FittingCaution(std::span<const CautionTopic> topics);

// Every caution that belongs to any of a list of contexts, once.
std::vector<Caution> AllCautions(std::span<const CautionContext> contexts);

// Most important first, 2 to 4 of them.
std::vector<Caution> CautionsFor(CautionContext context);

}  // namespace proofdrive::output
