#include "tests/fleet/measure/show.h"

#include "analysis/checks/checks.h"
#include "core/base/text.h"
#include "tests/fleet/measure/check_input.h"
#include "tests/fleet/measure/tally.h"
#include "tests/fleet/physics/life.h"
#include "tests/fleet/sensors/sent.h"

namespace proofdrive::fleet {
namespace {

constexpr std::size_t kMostPoints = 60;  // of a curve, beyond which it is not printed

std::string Shown(const analysis::CheckResult& result) {
  std::string text = result.name + ": " + std::string(CheckStatusName(result.status)) + ": " +
                     result.summary + "\n";
  for (const std::string& finding : result.findings) text += "  " + finding + "\n";
  for (const std::string& missing : result.missing) text += "  needs " + missing + "\n";
  for (const analysis::Figure& figure : result.figures) {
    text += "  " + figure.name + " " + FormatDouble(figure.value) + " " + figure.unit;
    if (figure.uncertainty) text += " +- " + FormatDouble(*figure.uncertainty);
    text += "\n";
  }
  for (const analysis::Curve& curve : result.curves) {
    if (curve.x.size() > kMostPoints) continue;
    text += "  " + curve.name + ":";
    for (std::size_t i = 0; i < curve.x.size(); ++i) {
      text += " (" + FormatDouble(curve.x[i]) + ", " + FormatDouble(curve.y[i]) + ")";
    }
    text += "\n";
  }
  return text;
}

}  // namespace

std::string ShowCar(Car car, const std::vector<std::string>& checks) {
  analysis::CheckInput input = InputOf(Send(car, Live(car)));
  std::string text;
  for (const auto& result : analysis::RunChecks(input, SettingsOf(car.facts))) {
    if (Wanted(checks, result.name)) text += Shown(result);
  }
  return text;
}

std::string ShowFault(const Car& car, const FaultRow& row) {
  std::string text;
  for (const double size : row.sizes) {
    Car broken = car;
    row.make(broken, size);
    text += std::string(row.what) + " " + FormatDouble(size) + " " + std::string(row.unit) + "\n" +
            ShowCar(std::move(broken), {std::string(row.check)});
  }
  return text;
}

}  // namespace proofdrive::fleet
