// Are the checks right on cars they were not grown on? Draws cars, lets the checks answer, prints
// tables. See docs/fleet.md.
#include <cstdio>
#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <map>
#include <optional>
#include <string>

#include "analysis/checks/checks.h"
#include "core/base/posix_files.h"
#include "core/base/text.h"
#include "tests/fleet/car/draw_car.h"
#include "tests/fleet/measure/show.h"
#include "tests/fleet/measure/tables.h"
#include "tests/fleet/write/session_files.h"

namespace proofdrive::fleet {
namespace {

constexpr const char* kUsage =
    "fleet [OPTION VALUE]...\n"
    "  --cars N        healthy cars (2000)\n"
    "  --fault-cars N  cars for each of the five sizes of each fault (20; 0: no faults)\n"
    "  --seed N        first seed (1)\n"
    "  --threads N     (2)\n"
    "  --check NAME    only this check in the tables; more than once\n"
    "  --fault NAME    only this fault; more than once\n"
    "  --json FILE     the tables as JSON besides\n"
    "  --show SEED     instead: all that the checks say of this car, with each --fault if any\n"
    "  --write FOLDER  instead: a session and a definition file of each of --cars N cars\n";

struct Options {
  Plan plan;
  std::optional<std::uint64_t> show;
  std::string json, folder;
};

bool Number(const std::string& text, auto& number) {
  const auto value = ParseDouble(text);
  if (!value.ok() || *value < 0) return false;
  number = static_cast<std::remove_reference_t<decltype(number)>>(*value);
  return true;
}

bool KnowsCheck(const std::string& name) {
  for (const analysis::CheckRow& row : analysis::AllChecks()) {
    if (row.name == name) return true;
  }
  return name == "signals" || name == "definitions";
}

bool Take(const std::string& option, const std::string& value, Options& options) {
  Plan& plan = options.plan;
  if (option == "--cars") return Number(value, plan.cars);
  if (option == "--fault-cars") return Number(value, plan.fault_cars);
  if (option == "--seed") return Number(value, plan.seed);
  if (option == "--threads") return Number(value, plan.threads) && plan.threads > 0;
  if (option == "--check" && KnowsCheck(value)) return plan.checks.push_back(value), true;
  if (option == "--fault" && FindFault(value) != nullptr) return plan.faults.push_back(value), true;
  if (option == "--show") return Number(value, options.show.emplace());
  if (option == "--json") return options.json = value, true;
  if (option == "--write") return options.folder = value, true;
  return false;
}

int WriteCars(const Options& options) {
  PosixFiles files;
  std::filesystem::create_directories(options.folder);
  for (std::size_t i = 0; i < options.plan.cars; ++i) {
    const Status status = WriteCar(files, options.folder, DrawCar(options.plan.seed + i));
    if (!status.ok()) {
      std::fprintf(stderr, "fleet: %s\n", status.message().c_str());
      return 1;
    }
  }
  return 0;
}

int Show(const Options& options) {
  const Car car = DrawCar(*options.show);
  if (options.plan.faults.empty()) std::fputs(ShowCar(car, options.plan.checks).c_str(), stdout);
  for (const std::string& fault : options.plan.faults) {
    std::fputs(ShowFault(car, *FindFault(fault)).c_str(), stdout);
  }
  return 0;
}

int Measure(const Options& options) {
  const HealthyTally healthy = MeasureHealthy(options.plan);
  std::fputs(HealthyText(healthy, options.plan).c_str(), stdout);
  std::fflush(stdout);
  const auto faults = MeasureFaults(options.plan);
  std::printf("\n%s", FaultsText(faults).c_str());
  if (options.json.empty()) return 0;
  std::ofstream file(options.json);
  file << TablesJson(healthy, faults, options.plan);
  return file.good() ? 0 : 1;
}

int Main(const std::vector<std::string>& words) {
  Options options;
  for (std::size_t i = 0; i < words.size(); i += 2) {
    if (i + 1 == words.size() || !Take(words[i], words[i + 1], options)) {
      std::fprintf(stderr, "fleet: %s cannot be used like that\n%s", words[i].c_str(), kUsage);
      return 2;
    }
  }
  if (options.show) return Show(options);
  return options.folder.empty() ? Measure(options) : WriteCars(options);
}

}  // namespace
}  // namespace proofdrive::fleet

int main(int count, char** words) {
  return proofdrive::fleet::Main(std::vector<std::string>(words + 1, words + count));
}
