// Insulation of a high-voltage circuit against the body: where a leak sits, how long a reading
// needs to settle.
//
// V- is the voltage between the negative end and the body, V+ between the body and the positive
// end.
#pragma once

namespace proofdrive::analysis {

// Where a single leak sits along the string: 0 = negative end, 1 = positive end. Background leaks
// pull it to the middle. -1 when both voltages are zero.
double LeakPlace(double v_negative, double v_positive);

// The voltage of the body settles with resistance times capacitance to it.
double SettlingSeconds(double whole_ohm, double body_farad);

}  // namespace proofdrive::analysis
