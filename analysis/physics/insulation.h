// Insulation of a high-voltage circuit against the body: resistance, its share per volt, where a
// leak sits, how long a reading needs to settle.
//
// V- is the voltage between the negative end and the body, V+ between the body and the positive
// end.
#pragma once

namespace proofdrive::analysis {

// With a known resistor `known_ohm` from the negative end to the body the voltage there falls from
// `v_negative` to `v_with`. UN R100, annex on measuring insulation: the leak of the worse side.
double SideResistance(double known_ohm, double bus_v, double v_negative, double v_with);
// The same written with both side voltages (49 CFR 571.305 S7.6, from memory); equal to the one
// above when V- and V+ add up to the bus voltage.
double SideResistanceOfBoth(double known_ohm, double v_negative, double v_positive, double v_with);
// Of the whole circuit against the body (Thevenin); what many monitors report (from memory).
double WholeResistance(double known_ohm, double v_negative, double v_with);

// Where a single leak sits along the string: 0 = negative end, 1 = positive end. Background leaks
// pull it to the middle. -1 when both voltages are zero.
double LeakPlace(double v_negative, double v_positive);

// Resistance of a film of liquid: length over conductivity and cross-section. Millimetres and
// microsiemens per centimetre.
double FilmOhm(double length_mm, double width_mm, double thickness_mm, double microsiemens_per_cm);

// The voltage of the body settles with resistance times capacitance to it.
double SettlingSeconds(double whole_ohm, double body_farad);
// Energy in the capacitors to the body, J. ISO 6469-4 allows 0.2 J as one of its options.
double BodyEnergy(double body_farad, double volt);

}  // namespace proofdrive::analysis
