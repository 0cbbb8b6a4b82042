// A disk that is really full: a small tmpfs of its own, in a mount namespace of its own.
#include <gmock/gmock.h>

#include <cstdlib>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <string>

#include "tests/support/places.h"
#include "tests/support/temp_dir.h"

namespace proofdrive {
namespace {

// $1 proofdrived, $2 proofdrive, $3 folder of the results. The disk has 40 MB; recording pauses
// when less than 16 MiB are free and goes on with 32.
constexpr char kScript[] = R"sh(
set -u
mkdir "$3/disk" && mount -t tmpfs -o size=40m tmpfs "$3/disk" || exit 77
cd "$3/disk"
log=$3/log socket=$3/sock
fail() { echo "$1"; cat "$log"; exit 1; }
wait_for() {  # PATTERN SECONDS
  for _ in $(seq $(($2 * 10))); do grep -q "$1" "$log" && return; sleep 0.1; done
  fail "never said: $1"
}
head -c 24000000 /dev/zero >filler || fail "no filler"
"$1" --source bench:drive@20 --sessions . --record x --socket "$socket" >"$log" 2>&1 &
daemon=$!
wait_for "Recording to" 60
sleep 1
head -c 1500000 /dev/zero >more  # now less than is kept free
wait_for "Recording is paused" 120
"$2" info x.session >"$3/running" 2>&1 || fail "not readable while paused"
for _ in $(seq 100); do  # the log is a moment ahead of the status
  "$2" status --socket "$socket" >"$3/status" || fail "no status"
  grep -q "paused" "$3/status" && break
  sleep 0.1
done
cat /dev/zero >rest 2>/dev/null  # and now nothing at all is left
[ "$(stat -f -c %a .)" = 0 ] || fail "the disk is not full"
sleep 2
"$2" verify x.session >"$3/verify-full" 2>&1 || fail "not readable on a full disk"
rm filler more rest
wait_for "There is room again" 120
sleep 1
kill -TERM $daemon
wait $daemon || fail "the daemon ended with $?"
"$2" verify x.session >"$3/verify" || fail "not sound at the end"
"$2" info --json x.session >"$3/info" || fail "no info"
)sh";

class FullDiskTest : public ::testing::Test {
 protected:
  std::string Read(const std::string& name) {
    std::ifstream file(folder_.File(name));
    return {std::istreambuf_iterator<char>(file), {}};
  }
  testing::TempDir folder_;
};

TEST_F(FullDiskTest, PausesKeepsAndGoesOn) {
  std::ofstream(folder_.File("script")) << kScript;
  const std::string command = "unshare --user --map-root-user --mount sh " +
                              folder_.File("script") + " " + testing::BuildPath("bin/proofdrived") +
                              " " + testing::BuildPath("bin/proofdrive") + " " + folder_.File("") +
                              " >" + folder_.File("out") + " 2>&1";
  const int status = std::system(command.c_str());
  const std::string out = Read("out");
  if (WEXITSTATUS(status) == 77 || out.find("unshare") != std::string::npos) {
    GTEST_SKIP() << "no mount namespace can be had here: the full disk was NOT tested: " << out;
  }
  ASSERT_EQ(status, 0) << out;
  EXPECT_THAT(Read("status"), ::testing::HasSubstr("paused, frames are lost: the disk of . is "));
  EXPECT_THAT(Read("running"), ::testing::HasSubstr("is still being recorded"));
  EXPECT_THAT(Read("verify"), ::testing::HasSubstr("complete"));
  const auto info = nlohmann::json::parse(Read("info"))["sessions"][0];
  std::uint64_t drops = 0;
  bool said = false;
  for (const auto& event : info["events"]) {
    if (event["kind"] == "drops") drops += event["count"].get<std::uint64_t>();
    said |= event["text"].get<std::string>().starts_with("nothing was stored for ");
  }
  EXPECT_GT(drops, 0u);
  EXPECT_TRUE(said) << "the gap is an event";
  // Nothing beyond what was admitted is missing: the bench vehicle waits and loses nothing.
  std::cout << info["frames"] << " frames stored, " << drops << " counted as lost\n";
}

}  // namespace
}  // namespace proofdrive
