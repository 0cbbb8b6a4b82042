// Each part of the model against laws it must obey.
#include <cmath>

#include <gtest/gtest.h>

#include "bench/car/car.h"
#include "bench/car/cell_pack.h"
#include "bench/car/contactors.h"
#include "bench/car/coolant_loop.h"
#include "bench/car/curve.h"
#include "bench/car/drive_cycle.h"
#include "bench/car/insulation.h"
#include "bench/car/pack_heat.h"
#include "bench/car/supply_12v.h"

namespace proofdrive::bench {
namespace {

constexpr double kDt = kStepSeconds;

TEST(CurveTest, RelaxFollowsTheExponential) {
  double x = 0;
  for (int i = 0; i < 100; ++i) x = Relax(x, 1, 1.0, 0.01);
  EXPECT_NEAR(x, 1 - std::exp(-1.0), 1e-5);
}

TEST(CellPackTest, OpenVoltageIsThatOfThePublishedHalfCells) {
  // Computed from the functions of J. Electrochem. Soc. 167 (2020) 080534 at these charges.
  EXPECT_NEAR(CellPack::OpenVoltage(0.05), 3.1065, 1e-4);
  EXPECT_NEAR(CellPack::OpenVoltage(0.50), 3.7458, 1e-4);
  EXPECT_NEAR(CellPack::OpenVoltage(0.90), 4.0947, 1e-4);
}

TEST(CellPackTest, ChargeTakenOutIsChargeLost) {
  Random random(5, 1);
  CellPack pack(random, 0.8, {});
  const double before = pack.MeanCharge();
  for (int i = 0; i < 6000; ++i) pack.Step(kDt, 107.26, 25);  // 1 C for a minute
  const double lost_ah = (before - pack.MeanCharge()) * pack.MeanCapacityAh();
  EXPECT_NEAR(lost_ah, 107.26 / 60, 0.002);
}

TEST(CellPackTest, HeatIsThePowerTheTerminalsLose) {
  Random random(5, 1);
  CellPack pack(random, 0.6, {});
  pack.Step(kDt, 0, 25);
  for (int i = 0; i < 3000; ++i) pack.Step(kDt, 100, 25);
  double open = 0;
  for (std::size_t i = 0; i < kCellCount; ++i) open += CellPack::OpenVoltage(pack.CellCharge(i));
  EXPECT_NEAR(pack.Heat(), 100 * (open - pack.PackVoltage()), 1e-6);
  EXPECT_GT(pack.Heat(), 0);
}

TEST(CellPackTest, ColdCellsSagMore) {
  Random random(5, 1);
  CellPack warm(random, 0.6, {});
  CellPack cold = warm;
  warm.Step(kDt, 100, 25);
  cold.Step(kDt, 100, 0);
  EXPECT_LT(cold.PackVoltage(), warm.PackVoltage() - 5);
}

TEST(CellPackTest, AFilmDrainsItsNeighboursTogether) {
  Random random(5, 1);
  CellPack pack(random, 0.6, {.first = 10, .count = 4, .deficit = 0, .film_ohm = 2});
  const double bridged = pack.CellCharge(11);
  const double free = pack.CellCharge(20);
  for (int i = 0; i < 6000; ++i) pack.Step(kDt, 0, 25);
  EXPECT_LT(pack.CellCharge(11), bridged - 1e-4);
  EXPECT_DOUBLE_EQ(pack.CellCharge(20), free);
}

TEST(CellPackTest, BalancingLowersTheHighCellsOnly) {
  Random random(5, 1);
  CellPack pack(random, 0.6, {.first = 10, .count = 1, .deficit = 0.05, .film_ohm = 0});
  pack.SetBalancing(true);
  const double low = pack.CellCharge(10);
  const double high = pack.CellCharge(50);
  for (int i = 0; i < 6000; ++i) pack.Step(kDt, 0, 25);
  EXPECT_DOUBLE_EQ(pack.CellCharge(10), low);
  EXPECT_LT(pack.CellCharge(50), high);
}

TEST(InsulationTest, FallsStrictlyWithWetness) {
  double last = 1e12;
  for (double wet = 0; wet < 60; wet += 0.5) {
    const double ohm = Insulation::OhmOf(wet);
    EXPECT_LT(ohm, last);
    last = ohm;
  }
}

TEST(InsulationTest, RecoversWithDrying) {
  Insulation insulation({.wet_ml = 10, .leak_place = 0.5});
  const double before = insulation.Ohm();
  for (int i = 0; i < 60'000; ++i) insulation.Step(kDt, 0, 20);
  EXPECT_GT(insulation.Ohm(), 1.4 * before);
}

TEST(InsulationTest, SideVoltagesPointAtTheLeak) {
  // A strong leak pulls its tap to the body (Thevenin): the share tends to the place.
  const Insulation insulation({.wet_ml = 1000, .leak_place = 0.3});
  EXPECT_NEAR(insulation.NegativeShare(), 0.3, 0.001);
}

TEST(ContactorsTest, PrechargeFollowsItsTimeConstant) {
  Contactors contactors;
  double seconds = 0;
  while (contactors.link_v() < 400 * (1 - std::exp(-1.0))) {
    contactors.Step(kDt, true, 0, 400);
    seconds += kDt;
    ASSERT_LT(seconds, 2);
  }
  EXPECT_NEAR(seconds, kPrechargeOhm * kLinkFarad, kDt);
}

TEST(ContactorsTest, CloseAt95PercentAndNotBefore) {
  Contactors contactors;
  while (!contactors.closed()) {
    EXPECT_LT(contactors.link_v(), 0.95 * 400);
    contactors.Step(kDt, true, 0, 400);
  }
  // t95 = 2.996 RC (computed).
  EXPECT_NEAR(contactors.last_precharge_s(), 2.996 * kPrechargeOhm * kLinkFarad, 0.02);
  EXPECT_EQ(contactors.closings(), 1u);
}

TEST(ContactorsTest, RefuseAndCountWhileInhibited) {
  Contactors contactors;
  for (int i = 0; i < 2500; ++i) contactors.Step(kDt, true, kInhibitCrash, 400);
  EXPECT_EQ(contactors.state(), ContactorState::kOpen);
  EXPECT_EQ(contactors.refusals(), 3u);  // at once, after 10 s and after 20 s
  EXPECT_EQ(contactors.last_reasons(), kInhibitCrash);
  EXPECT_EQ(contactors.link_v(), 0);
}

TEST(ContactorsTest, LinkIsBelow60VoltSoonAfterOpening) {
  // ISO 6469-4: at most 60 V within 10 s of an impact, or 5 s after coming to rest.
  Contactors contactors;
  for (int i = 0; i < 200; ++i) contactors.Step(kDt, true, 0, 400);
  ASSERT_TRUE(contactors.closed());
  for (int i = 0; i < 500; ++i) contactors.Step(kDt, true, kInhibitInterlock, 400);
  EXPECT_LT(contactors.link_v(), 60);
}

TEST(CoolantLoopTest, PowerGoesWithTheCubeOfSpeed) {
  // Affinity laws of centrifugal pumps.
  Random random(5, 1);
  CoolantLoop loop(random, {.litres = 5.9, .air_litres = 0, .leak_ml_min = 0});
  for (int i = 0; i < 1000; ++i) loop.Step(kDt, PumpState::kLow, 13);
  const double low = loop.power_w();
  const double low_rpm = loop.speed_rpm();
  for (int i = 0; i < 1000; ++i) loop.Step(kDt, PumpState::kHigh, 13);
  EXPECT_NEAR(loop.power_w() / low, std::pow(loop.speed_rpm() / low_rpm, 3), 1e-9);
}

TEST(CoolantLoopTest, AirTakesPowerAndFlowAway) {
  Random random(5, 1);
  CoolantLoop full(random, {.litres = 5.9, .air_litres = 0, .leak_ml_min = 0});
  CoolantLoop airy(random, {.litres = 4.5, .air_litres = 1.3, .leak_ml_min = 0});
  for (int i = 0; i < 1000; ++i) {
    full.Step(kDt, PumpState::kHigh, 13);
    airy.Step(kDt, PumpState::kHigh, 13);
  }
  EXPECT_LT(airy.power_w(), 0.75 * full.power_w());
  EXPECT_LT(airy.flow_l_min(), 0.75 * full.flow_l_min());
}

TEST(CoolantLoopTest, BleedingLowersTheLevel) {
  Random random(5, 1);
  CoolantLoop loop(random, {.litres = 4.3, .air_litres = 1.3, .leak_ml_min = 0});
  EXPECT_EQ(loop.level(), CoolantLevel::kFull);
  for (int i = 0; i < 10'000; ++i) loop.Step(kDt, PumpState::kHigh, 13);
  EXPECT_EQ(loop.level(), CoolantLevel::kLow);
  EXPECT_LT(loop.AirShare(), 1.3 / 5.2);
  EXPECT_DOUBLE_EQ(loop.litres(), 4.3);
}

TEST(CoolantLoopTest, ALeakDrawsAirOnceTheTankIsEmpty) {
  Random random(5, 1);
  CoolantLoop loop(random, {.litres = 5.3, .air_litres = 0, .leak_ml_min = 600});
  for (int i = 0; i < 6000; ++i) loop.Step(kDt, PumpState::kHigh, 13);
  EXPECT_EQ(loop.level(), CoolantLevel::kEmpty);
  EXPECT_NEAR(loop.AirShare() * 5.2, 5.2 - loop.litres(), 1e-9);
}

TEST(CoolantLoopTest, ADryPumpStopsItselfAndTriesAgain) {
  Random random(5, 1);
  CoolantLoop loop(random, {.litres = 2, .air_litres = 3.2, .leak_ml_min = 0});
  int faults = 0;
  PumpState last = PumpState::kOff;
  for (int i = 0; i < 10'000; ++i) {
    loop.Step(kDt, PumpState::kLow, 13);
    if (loop.pump() == PumpState::kFault && last != PumpState::kFault) ++faults;
    last = loop.pump();
  }
  EXPECT_EQ(faults, 2);  // 30 s dry, 15 s off, again within 100 s
}

TEST(PackHeatTest, EnergyBalances) {
  Random random(5, 1);
  PackHeat heat(random, 30, 30);
  for (int i = 0; i < 200'000; ++i) heat.Step(0.1, 1000, 8);
  // Steady: all heat leaves through radiator and air, outlet warmer than inlet by P / (m cp).
  const double to_air = 8 * (heat.cells_c() - 30);
  EXPECT_NEAR(heat.outlet_c() - heat.inlet_c(), (1000 - to_air) / (58.91 * 8), 0.01);
  EXPECT_GT(heat.cells_c(), heat.outlet_c());
}

TEST(Supply12VTest, ConverterLiftsTheSupplyAndChargesTheBattery) {
  Supply12V supply({.charge = 0.5, .ohm = 0.02});
  for (int i = 0; i < 500; ++i) supply.Step(kDt, 15, false);
  EXPECT_LT(supply.voltage(), 12.24);
  const double charge = supply.charge();
  for (int i = 0; i < 1000; ++i) supply.Step(kDt, 15, true);
  EXPECT_NEAR(supply.voltage(), 14.0, 0.05);
  EXPECT_GT(supply.charge(), charge);
  EXPECT_GT(supply.ConverterPower(), 15 * 14);
}

TEST(DriveCycleTest, MovesAndGivesEnergyBack) {
  Random random(5, 1);
  DriveCycle drive(random, 300);
  double most = 0;
  double least = 0;
  double distance = 0;
  for (int i = 0; i < 31'000; ++i) {
    drive.Step(kDt, true);
    most = std::max(most, drive.power_w());
    least = std::min(least, drive.power_w());
    distance += drive.speed_mps() * kDt;
  }
  EXPECT_GT(most, 10e3);
  EXPECT_LT(least, -3e3);
  EXPECT_NEAR(drive.distance_m(), distance, 1e-6);
  EXPECT_EQ(drive.speed_mps(), 0);
}

TEST(DriveCycleTest, StandsWithoutHighVoltage) {
  Random random(5, 1);
  DriveCycle drive(random, 300);
  for (int i = 0; i < 10'000; ++i) drive.Step(kDt, false);
  EXPECT_EQ(drive.distance_m(), 0);
}

}  // namespace
}  // namespace proofdrive::bench
