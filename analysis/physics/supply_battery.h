// The 12 V lead-acid battery at rest, and its inner resistance.
#pragma once

namespace proofdrive::analysis {

// State of charge, percent, of a rested lead-acid battery at 26.7 degC: published table of battery
// makers, 12.65 V 100 % ... 11.89 V 0 %. Held at both ends. Wrong for lithium batteries.
double LeadAcidPercent(double rested_volt);

}  // namespace proofdrive::analysis
