// 24 cars the whole way: a session on disk, a definition file, and the command a user types. The
// answers are those that the series give directly.
#include <gmock/gmock.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "core/base/posix_files.h"
#include "tests/fleet/car/draw_car.h"
#include "tests/fleet/measure/examine.h"
#include "tests/fleet/write/session_files.h"
#include "tests/fleet_bars/bars.h"
#include "tests/support/matchers.h"
#include "tests/support/temp_dir.h"
#include "tools/shell/command.h"

namespace proofdrive::fleet {
namespace {

using analysis::CheckStatus;
using analysis::CheckStatusName;

constexpr std::uint64_t kCars = 24, kApart = 1000;

struct Said {
  int code = -1;
  std::map<std::string, std::string> status;  // by check
};

Said CheckWith(PosixFiles& files, const std::string& base) {
  const std::string session = base + ".session", definitions = base + ".yaml";
  const char* const words[] = {"proofdrive",        "check", session.c_str(), "--definitions",
                               definitions.c_str(), "--json"};
  std::ostringstream out, err;
  tools::Environment environment{files, out, err, false};
  Said said;
  said.code = tools::RunTool(static_cast<int>(std::size(words)), words, environment);
  const auto json = nlohmann::json::parse(out.str(), nullptr, false);
  EXPECT_FALSE(json.is_discarded()) << err.str();
  if (json.is_discarded()) return said;
  for (const auto& check : json["checks"]) said.status[check["name"]] = check["status"];
  return said;
}

int CodeOf(const std::vector<Answer>& answers) {
  int code = 0;
  for (const Answer& answer : answers) {
    if (answer.status == CheckStatus::kOutside) return 1;
    if (answer.status != CheckStatus::kWithin) code = 3;
  }
  return code;
}

TEST(CarsTheWholeWay, GetTheSameAnswers) {
  PosixFiles files;
  std::size_t outside = 0, alarmed = 0;
  for (std::uint64_t i = 0; i < kCars; ++i) {
    const Car car = DrawCar(kApart * SeedOfTheRun() + i);
    SCOPED_TRACE("car " + std::to_string(car.seed));
    const testing::TempDir folder;
    ASSERT_THAT(WriteCar(files, folder.path(), car), testing::IsOk());
    const Said said = CheckWith(files, folder.File("car-" + std::to_string(car.seed)));
    const Outcome direct = Examine(car);
    EXPECT_EQ(said.code, CodeOf(direct.answers));
    EXPECT_EQ(said.status.size(), direct.answers.size());
    bool any = false;
    for (const Answer& answer : direct.answers) {
      const auto found = said.status.find(answer.check);
      ASSERT_NE(found, said.status.end()) << answer.check;
      EXPECT_EQ(found->second, CheckStatusName(answer.status))
          << answer.check << ": " << answer.why;
      any |= found->second == CheckStatusName(CheckStatus::kOutside) ||
             found->second == CheckStatusName(CheckStatus::kLookCloser);
    }
    outside += said.code == 1 ? 1 : 0;
    alarmed += any ? 1 : 0;
  }
  EXPECT_EQ(BrokenAbove("false \"outside limits\"", outside, kCars, MostOutside()), "");
  EXPECT_EQ(BrokenAbove("any false alarm", alarmed, kCars, MostAlarmed()), "");
}

}  // namespace
}  // namespace proofdrive::fleet
