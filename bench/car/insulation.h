// Insulation of the high-voltage circuit against the body, spoiled by coolant and healed by drying.
#pragma once

namespace proofdrive::bench {

struct InsulationSetup {
  double wet_ml = 0;         // coolant wetting the inside of the pack
  double leak_place = 0.42;  // where in the string it bridges: 0 = negative end, 1 = positive end
};

class Insulation {
 public:
  explicit Insulation(const InsulationSetup& setup);

  // `dip`: share by which the monitor reads low after Disturb(). `vehicle_ohm`: of the vehicle's
  // side, which counts while joined; 0 = perfect.
  void SetDefects(double dip, double vehicle_ohm) {
    dip_ = dip;
    vehicle_ohm_ = vehicle_ohm;
  }
  // Something switched: the voltage of the body has to settle again.
  void Disturb() { reported_ohm_ *= 1 - dip_; }
  // Contactors closed: the vehicle's side is measured, too.
  void Join(bool joined) { joined_ = joined; }

  // `added_ml_min` of coolant reaches the cells; the rest of the wetness dries.
  void Step(double dt, double added_ml_min, double temperature_c);

  double wet_ml() const { return wet_ml_; }
  // Between the whole high-voltage circuit and the body, ohm.
  double Ohm() const {
    const double pack = OhmOf(wet_ml_);
    return joined_ && vehicle_ohm_ > 0 ? 1 / (1 / pack + 1 / vehicle_ohm_) : pack;
  }
  // Falls strictly with wetness.
  static double OhmOf(double wet_ml);
  // Voltage of the negative end against the body, as a share of pack voltage (Thevenin).
  double NegativeShare() const;

  // What the monitor reports, kohm: settles with resistance times capacitance to the body.
  bool monitor_ready() const { return awake_s_ > 3; }
  double reported_ohm() const { return reported_ohm_; }
  // Relative humidity inside the pack, %.
  double humidity() const { return humidity_; }

 private:
  double wet_ml_;
  double leak_place_;
  double reported_ohm_;
  double humidity_;
  double awake_s_ = 0;
  double dip_ = 0;
  double vehicle_ohm_ = 0;
  bool joined_ = false;
};

}  // namespace proofdrive::bench
