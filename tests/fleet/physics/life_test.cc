// What a car lives through keeps to what physics and the script say.
#include "tests/fleet/physics/life.h"

#include <gmock/gmock.h>

#include <cmath>

#include "tests/fleet/car/draw_car.h"
#include "tests/fleet/physics/insulation.h"
#include "tests/fleet/physics/pack_model.h"

namespace proofdrive::fleet {
namespace {

constexpr std::uint64_t kCars = 30;

class Lives : public ::testing::TestWithParam<std::uint64_t> {
 protected:
  const Car car_ = DrawCar(GetParam());
  const Life life_ = Live(car_);
};

double Seconds(const Life& life, std::size_t i) {
  return life.moments[i].t - life.moments[i - 1].t;
}

TEST_P(Lives, ChargeThatLeavesIsCounted) {
  double ah = 0;
  for (std::size_t i = 1; i < life_.moments.size(); ++i) {
    ah += life_.moments[i].amps * Seconds(life_, i) / 3600;
  }
  const double lost = car_.pack.start_charge - life_.moments.back().charge;
  EXPECT_NEAR(lost * car_.pack.capacity_ah * car_.pack.health, ah, 0.001 * car_.pack.capacity_ah);
}

// What the cells had rested less what came out of the terminals became heat.
TEST_P(Lives, EnergyIsKept) {
  const CellCurve& curve = CurveOf(car_.pack.kind);
  double chemical = 0, out = 0, heat = 0;
  for (std::size_t i = 1; i < life_.moments.size(); ++i) {
    const Moment& now = life_.moments[i];
    chemical += now.amps * car_.pack.series() * curve.Volt(now.charge) * Seconds(life_, i);
    out += now.amps * now.pack_v * Seconds(life_, i);
    heat += now.heat_w * Seconds(life_, i);
  }
  EXPECT_GT(heat, 0);
  // Cells differ from the nominal one by some millivolts and per cent of resistance.
  EXPECT_NEAR(chemical, out + heat, 0.03 * std::fabs(chemical) + 0.05 * heat);
}

TEST_P(Lives, TerminalsAreTheSumOfTheCells) {
  const Moment& rest = life_.moments.back();
  double sum = 0;
  for (int i = 0; i < car_.pack.cells; ++i) {
    const CellView view(car_.pack, i);
    sum += view.Volt(rest.charge, rest.over_v) - view.offset_v();
  }
  EXPECT_NEAR(sum / car_.pack.strings, rest.pack_v, 0.001 * rest.pack_v);
}

TEST_P(Lives, TheLinkIsChargedBeforeTheContactorsClose) {
  int closings = 0;
  for (std::size_t i = 1; i < life_.moments.size(); ++i) {
    const Moment& before = life_.moments[i - 1];
    if (before.hv == HvState::kClosed || life_.moments[i].hv != HvState::kClosed) continue;
    ++closings;
    EXPECT_NEAR(before.link_v / before.pack_v, car_.high_voltage.closing_share, 0.02);
  }
  EXPECT_GE(closings, 1);
}

TEST_P(Lives, HasTenMinutesOfDrivingAndARest) {
  double driven = 0;
  double rested = 0;
  for (const Phase& phase : life_.phases) {
    if (phase.kind == StageKind::kDrive) driven += phase.to_s - phase.from_s;
    if (phase.kind == StageKind::kRest) rested = std::max(rested, phase.to_s - phase.from_s);
  }
  EXPECT_GE(driven, 599);
  EXPECT_GE(rested, 3600);
  EXPECT_GT(life_.moments.back().km, 0.5);
}

TEST_P(Lives, TemperaturesAndVoltagesStayPlausible) {
  for (const Moment& now : life_.moments) {
    ASSERT_GT(now.pack_c, car_.use.ambient_c - 15);
    ASSERT_LT(now.pack_c, std::max(60.0, car_.use.ambient_c + 25));
    ASSERT_LT(now.pack_v, car_.pack.highest_v() * 1.05);
    ASSERT_GT(now.supply_v, 10.5);
    ASSERT_LT(now.supply_v, 15.51);
  }
}

TEST_P(Lives, HealthyInsulationStaysAbove680OhmPerVolt) {
  for (const Moment& now : life_.moments) {
    const Leakage leak = LeakageOf(car_, now.pack_c, now.pack_v, true, 1);
    ASSERT_GE(1000 * leak.kohm / car_.pack.highest_v(), 680) << now.pack_c;
  }
}

INSTANTIATE_TEST_SUITE_P(Seeds, Lives, ::testing::Range<std::uint64_t>(1, kCars + 1));

TEST(Life, IsTheSameForTheSameSeed) {
  const Life one = Live(DrawCar(7));
  const Life two = Live(DrawCar(7));
  ASSERT_EQ(one.moments.size(), two.moments.size());
  EXPECT_EQ(one.moments.back().charge, two.moments.back().charge);
  EXPECT_EQ(one.moments.back().km, two.moments.back().km);
}

}  // namespace
}  // namespace proofdrive::fleet
