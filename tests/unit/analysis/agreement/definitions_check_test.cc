// Wrong scales are found, faults of the car are not taken for them, and no check answers from
// definitions that contradict each other.
#include "analysis/agreement/definitions_check.h"

#include <gmock/gmock.h>

#include <cmath>

#include "tests/unit/analysis/checks/input_builder.h"

namespace proofdrive::analysis {
namespace {

using ::testing::AllOf;
using ::testing::AnyOf;
using ::testing::HasSubstr;
using testing::InputBuilder;
using ::testing::IsEmpty;
using ::testing::Not;
using testing::SettingsOf;
using ::testing::StartsWith;

// What a car of 96 cells is, and what its definitions make of it.
struct Wagon {
  double cell_v = 3.93;
  int strings = 1;
  double pack = 1, cells = 1, link = 1, current = 1, speed = 1;  // scales, 1: right
  double open_share = 1;       // of the cells' sum at the terminals
  double contact_ohm = 0.001;  // of the contactors
  bool drives = true;
  double length_s = 600;
};

double AmpsOf(const Wagon& wagon, double at) {
  if (!wagon.drives || at < 120 || at > 540) return 1;
  return 60 + 50 * std::sin(at / 7);
}

double PackOf(const Wagon& wagon, double at) {
  return (96 * wagon.cell_v - 0.1 * AmpsOf(wagon, at)) * wagon.open_share;
}

InputBuilder Build(const Wagon& wagon) {
  InputBuilder input(wagon.length_s);
  input.Scalar("pack voltage", 0.5, 0.1, [=](double at) { return wagon.pack * PackOf(wagon, at); })
      .Scalar("pack current", 0.5, 0.1,
              [=](double at) { return wagon.current * AmpsOf(wagon, at); })
      .Scalar("link voltage", 0.5, 0.1,
              [=](double at) {
                const double drop = wagon.contact_ohm * AmpsOf(wagon, at);
                return at < 20 ? 0 : wagon.link * (PackOf(wagon, at) - drop);
              })
      .Each("cell voltages", static_cast<std::size_t>(96 * wagon.strings), 2, 0.001,
            [=](std::size_t, double at) {
              return wagon.cells * (wagon.cell_v - 0.1 * AmpsOf(wagon, at) / 96);
            })
      .States("contactor state", {"open", "closed"}, 0.5,
              [](double at) { return at < 20 ? 0 : 1; });
  return input;
}

// The fault of a definition is one sentence, first of all answers.
void ExpectContradiction(InputBuilder input, const std::string& sentence) {
  const auto results = RunChecks(input.input(), {});
  EXPECT_EQ(results[0].name, "definitions");
  EXPECT_EQ(results[0].status, CheckStatus::kLookCloser);
  EXPECT_THAT(results[0].summary, StartsWith("your definitions contradict each other: "));
  EXPECT_THAT(results[0].summary, HasSubstr(sentence));
}

CheckStatus StatusOf(InputBuilder input, const std::string& check) {
  return input.Run(check).status;
}

TEST(Definitions, ThatAgreeAreWithinLimits) {
  const CheckResult result = Build({}).Run("definitions");
  EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
  EXPECT_THAT(result.summary, HasSubstr("cells add up to 377 V, the pack says 377 V"));
  EXPECT_THAT(result.summary, HasSubstr("the link has 377 V"));
}

TEST(Definitions, NothingToCompareIsNoGoodNews) {
  InputBuilder input(60);
  input.Scalar("supply voltage", 1, 0.1, [](double) { return 12.6; });
  const CheckResult result = input.Run("definitions");
  EXPECT_EQ(result.status, CheckStatus::kCannotTell);
  EXPECT_THAT(result.missing[0], HasSubstr("two signals that show the same thing"));
}

TEST(Definitions, PackVoltageScaledWrongIsNamed) {
  Wagon wagon;
  wagon.pack = 1.1;
  ExpectContradiction(Build(wagon), "the scale of the pack voltage is wrong");
  const CheckResult contactors = Build(wagon).Run("contactors");
  EXPECT_EQ(contactors.status, CheckStatus::kCannotTell) << contactors.summary;
  EXPECT_THAT(contactors.missing[0],
              HasSubstr("is contradicted by another definition: cells add up"));
  EXPECT_NE(StatusOf(Build(wagon), "balance"), CheckStatus::kWithin);
}

// No load shows the contactors' path then, but the cells stand before them.
TEST(Definitions, PackVoltageScaledWrongIsNamedOfAStandingCar) {
  Wagon wagon;
  wagon.pack = 1.1;
  wagon.drives = false;
  ExpectContradiction(Build(wagon), "the scale of the pack voltage is wrong");
}

TEST(Definitions, CellsAgainstPackWithoutALink) {
  Wagon wagon;
  wagon.pack = 1.1;
  InputBuilder input = Build(wagon);
  std::erase_if(input.input().signals,
                [](const RoleSignal& signal) { return signal.role == "link voltage"; });
  ExpectContradiction(input, "cells add up to 377 V, the pack says 415 V; one scale is wrong");
  EXPECT_EQ(StatusOf(input, "balance"), CheckStatus::kCannotTell);
}

TEST(Definitions, CellsScaledWrong) {
  Wagon wagon;
  wagon.cells = 0.9;
  ExpectContradiction(Build(wagon), "cells add up to 339 V, the pack says 377 V; one scale");
  for (const char* check : {"balance", "resistance", "contactors", "capacity"}) {
    EXPECT_EQ(StatusOf(Build(wagon), check), CheckStatus::kCannotTell) << check;
  }
}

TEST(Definitions, LinkScaledWrong) {
  Wagon wagon;
  wagon.link = 0.9;
  ExpectContradiction(Build(wagon), "the scale of the link voltage is wrong");
  EXPECT_EQ(StatusOf(Build(wagon), "contactors"), CheckStatus::kCannotTell);
}

TEST(Definitions, CellsOfParallelStringsAddUpToSeveralPacks) {
  for (const int strings : {2, 3, 4}) {
    Wagon wagon;
    wagon.strings = strings;
    const CheckResult result = Build(wagon).Run("definitions");
    EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
    EXPECT_THAT(result.summary,
                HasSubstr("as " + std::to_string(strings) + " strings in parallel"));
    wagon.pack = 1.1;
    EXPECT_EQ(StatusOf(Build(wagon), "definitions"), CheckStatus::kLookCloser) << strings;
  }
}

TEST(Definitions, MissingCellsAreNotAddedUp) {
  InputBuilder input = Build({});
  for (RoleSignal& signal : input.input().signals) {
    if (signal.role == "cell voltages") signal.elements[10] = Track();
  }
  EXPECT_THAT(input.Run("definitions").summary, Not(HasSubstr("cells add up")));
  const CheckResult few = Build({}).Run("definitions", SettingsOf({"pack.cells=108"}));
  EXPECT_THAT(few.summary, Not(HasSubstr("cells add up")));
}

TEST(Definitions, HalfOfTheCellsDescribedIsNotAWrongScale) {
  InputBuilder input = Build({});
  for (RoleSignal& signal : input.input().signals) {
    if (signal.role == "cell voltages") signal.elements.resize(48);
  }
  const CheckResult result = input.Run("definitions");
  EXPECT_EQ(result.status, CheckStatus::kLookCloser);
  EXPECT_THAT(result.summary, HasSubstr("either not all cells are described or a scale is wrong"));
  Wagon wagon;
  wagon.cells = 0.7;
  EXPECT_THAT(Build(wagon).Run("definitions").summary, HasSubstr("contradict each other"));
}

TEST(Definitions, AnOpenStringIsNotAWrongScale) {
  Wagon wagon;
  wagon.open_share = 0.04;
  wagon.drives = false;
  const CheckResult result = Build(wagon).Run("definitions");
  EXPECT_THAT(result.summary, HasSubstr("either a scale is wrong or the string is open"));
  EXPECT_EQ(StatusOf(Build(wagon), "interlock"), CheckStatus::kOutside);
}

TEST(Definitions, AFractionThatCarriesCurrentIsAWrongScale) {
  Wagon wagon;
  wagon.pack = 0.1;
  EXPECT_THAT(Build(wagon).Run("definitions").summary, HasSubstr("contradict"));
}

TEST(Definitions, AWornContactorIsNotAWrongScale) {
  Wagon wagon;
  wagon.contact_ohm = 0.2;
  const CheckResult result = Build(wagon).Run("definitions");
  EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
  EXPECT_EQ(StatusOf(Build(wagon), "contactors"), CheckStatus::kLookCloser);
}

TEST(Definitions, AContactorThatDoesNotCloseFullyMayLookLikeAWrongScale) {
  Wagon wagon;
  wagon.contact_ohm = 40;  // the resistor of the pre-charge, at 1 A
  wagon.drives = false;
  const CheckResult result = Build(wagon).Run("definitions");
  EXPECT_EQ(result.status, CheckStatus::kLookCloser);
  EXPECT_THAT(result.summary, HasSubstr("or a contactor does not close fully"));
  EXPECT_EQ(Build(wagon).Run("contactors").roles[0].signals.size(), 1U);  // it goes on
}

TEST(Definitions, AStepInTheMiddleIsTheCar) {
  InputBuilder input = Build({});
  for (RoleSignal& signal : input.input().signals) {
    if (signal.role != "pack voltage") continue;
    Track& track = signal.elements[0];
    for (std::size_t i = track.size() / 12; i < track.size(); ++i) track.value[i] *= 0.8;
  }
  EXPECT_THAT(input.Run("definitions").summary, Not(HasSubstr("contradict")));
}

// 2 kWh in ten minutes from a pack of 20 kWh.
InputBuilder Drive(double current_scale, double shown_scale, double speed_scale) {
  InputBuilder input(1200);
  const auto speed = [](double at) { return at < 60 ? 0.0 : 50 + 20 * std::sin(at / 30); };
  const auto driven = [](double at) {
    if (at < 60) return 0.0;
    return (50 * (at - 60) - 20 * 30 * (std::cos(at / 30) - std::cos(2.0))) / 3600;
  };
  input.Scalar("pack voltage", 0.5, 0.1, [](double at) { return 370 - std::sin(at); })
      .Scalar("pack current", 0.5, 0.1,
              [=](double at) { return current_scale * (at < 60 ? 1 : 20 + 5 * std::sin(at)); })
      .Scalar(
          "energy left", 1, 0.01,
          [=](double at) { return 15 - shown_scale * 370 * 20 * std::max(0.0, at - 60) / 3.6e6; })
      .Scalar("vehicle speed", 0.2, 0.1, [=](double at) { return speed_scale * speed(at); })
      .Scalar("odometer", 1, 0.1, [=](double at) { return 81234 + driven(at); });
  return input;
}

TEST(Definitions, CountsThatAgree) {
  const CheckResult result = Drive(1, 1, 1).Run("definitions");
  EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
  EXPECT_THAT(result.summary, AllOf(HasSubstr("the energy left changes by -2.3"),
                                    HasSubstr("the speed counts 15.9 km, the odometer 15.9 km")));
}

TEST(Definitions, CurrentTenTimesTooLarge) {
  ExpectContradiction(Drive(10, 1, 1), "one scale is wrong");
  EXPECT_THAT(Drive(10, 1, 1).Run("resistance").missing[0], HasSubstr("the current counts"));
}

TEST(Definitions, AMileForAKilometre) {
  ExpectContradiction(Drive(1, 1, 0.6214), "the speed counts 9.86 km, the odometer 15.9 km");
}

TEST(Definitions, LostCapacityIsNotAWrongScale) {
  const CheckResult result = Drive(1, 2, 1).Run("definitions");
  EXPECT_EQ(result.status, CheckStatus::kWithin) << result.summary;
}

// A rest of four hours at 21 degC.
InputBuilder Rest(double inlet_off, double cells_off) {
  InputBuilder input(4 * 3600);
  input.Scalar("pack current", 1, 0.1, [](double) { return 0.2; })
      .Scalar("coolant inlet temperature", 5, 0.5, [=](double) { return 21 + inlet_off; })
      .Scalar("coolant outlet temperature", 5, 0.5, [](double) { return 21; })
      .Each("cell temperatures", 8, 10, 0.5, [=](std::size_t, double) { return 22 + cells_off; });
  return input;
}

TEST(Definitions, NeighboursAreEquallyWarmAfterARest) {
  EXPECT_EQ(StatusOf(Rest(0, 0), "definitions"), CheckStatus::kWithin);
  ExpectContradiction(Rest(20, 0), "coolant inlet temperature is 41 degC, the coolant outlet");
  ExpectContradiction(Rest(0, -20), "cell temperatures are 2 degC, the coolant outlet");
}

TEST(Definitions, ANetworkThatSleepsDoesNotEndARest) {
  InputBuilder input = Rest(20, 0);
  Track& current = input.input().signals[0].elements[0];
  Track waking;  // 20 s of every 5 minutes
  for (std::size_t i = 0; i < current.size(); ++i) {
    if (std::fmod(current.time_s[i], 300) < 20) waking.Add(current.time_s[i], current.value[i]);
  }
  current = waking;
  EXPECT_THAT(input.Run("definitions").summary, HasSubstr("contradict each other"));
}

TEST(Definitions, APackThatHeatsItselfIsNotHidden) {
  const CheckResult result = Rest(0, 20).Run("definitions");
  EXPECT_EQ(result.status, CheckStatus::kLookCloser);
  EXPECT_THAT(result.summary, HasSubstr("or the pack heats itself"));
}

TEST(Definitions, CellsScaledALittleWrong) {
  Wagon wagon;
  wagon.cells = 0.975;
  ExpectContradiction(Build(wagon), "one scale is wrong");
  wagon.cells = 0.99;
  EXPECT_EQ(StatusOf(Build(wagon), "definitions"), CheckStatus::kWithin);
}

// Ageing makes the current count less than is shown, never more.
TEST(Definitions, CurrentTwiceTooLarge) {
  ExpectContradiction(Drive(2, 1, 1), "the current counts");
  EXPECT_EQ(StatusOf(Drive(1.3, 1, 1), "definitions"), CheckStatus::kWithin);
  EXPECT_EQ(StatusOf(Drive(0.5, 1, 1), "definitions"), CheckStatus::kWithin);
}

TEST(Definitions, ASpeedThatIsTooSlow) {
  ExpectContradiction(Drive(1, 1, 0.85), "the odometer 15.9 km");
  EXPECT_EQ(StatusOf(Drive(1, 1, 1.1), "definitions"), CheckStatus::kWithin);
}

// 0.25 A that a sensor shows at rest are 1 kWh in a night.
TEST(Definitions, TheZeroOfASensorIsNoScale) {
  InputBuilder input(40000);
  const auto works = [](double at) { return at > 60 && at < 1200; };
  input.Scalar("pack voltage", 1, 0.1, [](double at) { return 370 - std::sin(at); })
      .Scalar("pack current", 1, 0.05, [&](double at) { return (works(at) ? 14 : 0) - 0.25; })
      .Scalar("energy left", 5, 0.1,
              [](double at) { return 15 - 370 * 14 * std::clamp(at - 60, 0.0, 1140.0) / 3.6e6; });
  EXPECT_EQ(StatusOf(input, "definitions"), CheckStatus::kWithin)
      << input.Run("definitions").summary;
}

// The last tenth is charged while 100 % are shown.
TEST(Definitions, ABufferAboveWhatIsShownIsNoScale) {
  InputBuilder input(7200);
  input.Scalar("pack voltage", 1, 0.1, [](double at) { return 370 + std::sin(at); })
      .Scalar("pack current", 1, 0.05, [](double at) { return at > 60 ? -20 : 0; })
      .Scalar("energy left", 5, 0.1, [](double at) {
        return std::min(15.0, 10 + 370 * 20 * std::max(0.0, at - 60) / 3.6e6);
      });
  EXPECT_EQ(StatusOf(input, "definitions"), CheckStatus::kWithin)
      << input.Run("definitions").summary;
}

// Silent for five minutes, then awake for longer than it drove: the drive is what counts.
TEST(Definitions, TheDriveIsHeldAgainstTheOdometerNotTheParking) {
  InputBuilder input = Drive(1, 1, 0.6214);
  input.input().length_s = 8000;
  for (RoleSignal& signal : input.input().signals) {
    Track& track = signal.elements[0];
    const double last = signal.role == "vehicle speed" ? 0 : track.value.back();
    for (double at = 1500; at < 8000; at += 1) track.Add(at, last);
  }
  const CheckResult result = input.Run("definitions");
  EXPECT_EQ(result.status, CheckStatus::kLookCloser);
  EXPECT_THAT(result.summary, HasSubstr("the odometer 15.9 km"));
}

}  // namespace
}  // namespace proofdrive::analysis
