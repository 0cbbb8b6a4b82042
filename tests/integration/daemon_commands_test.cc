// proofdrive record, mark and status against a running daemon.
#include <gmock/gmock.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "core/base/posix_files.h"
#include "session/reader.h"
#include "tests/integration/daemon_process.h"
#include "tests/support/matchers.h"
#include "tests/support/places.h"
#include "tests/support/temp_dir.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

using nlohmann::json;
using ::testing::AllOf;
using testing::DaemonProcess;
using ::testing::HasSubstr;
using testing::IsOk;
using ::testing::MatchesRegex;
using ::testing::StartsWith;

struct Output {
  int code = 0;
  std::string out;
  std::string err;
};

class DaemonCommandsTest : public ::testing::Test {
 protected:
  Output Run(std::vector<std::string> words) {
    words.insert(words.begin(), "proofdrive");
    words.insert(words.end(), {"--socket", socket_});
    std::vector<const char*> pointers;
    for (const std::string& word : words) pointers.push_back(word.c_str());
    std::ostringstream out;
    std::ostringstream err;
    Environment environment{files_, out, err};
    const int code = RunTool(static_cast<int>(pointers.size()), pointers.data(), environment);
    return {code, out.str(), err.str()};
  }

  std::unique_ptr<DaemonProcess> StartDaemon() {
    auto daemon = std::make_unique<DaemonProcess>(
        std::vector<std::string>{"--source", "bench:coolant-leak@50", "--definitions",
                                 testing::SourcePath("decoders/library/bramble-seven.yaml"),
                                 "--sessions", folder_.path(), "--socket", socket_},
        folder_.File("log"));
    for (int i = 0; i < 3000 && Run({"status"}).code != 0; ++i) {
      std::this_thread::sleep_for(std::chrono::milliseconds(10));
    }
    return daemon;
  }

  testing::TempDir folder_;
  const std::string socket_ = folder_.File("control.sock");
  PosixFiles files_;
};

TEST_F(DaemonCommandsTest, WithoutADaemonTheySayHowToStartOne) {
  const std::string sentence = "proofdrive: no daemon answers on " + socket_ +
                               ": start one with, for example, proofdrived --source "
                               "socketcan:can0, or name its socket with --socket\n";
  for (const std::vector<std::string>& words : {std::vector<std::string>{"status"},
                                                {"mark", "x"},
                                                {"record", "stop"},
                                                {"record", "start", "x"}}) {
    const Output output = Run(words);
    EXPECT_EQ(output.code, 2);
    EXPECT_EQ(output.out, "");
    EXPECT_EQ(output.err, sentence);
  }
}

TEST_F(DaemonCommandsTest, ARecordingFromStartToStop) {
  const auto daemon = StartDaemon();
  const std::string path = folder_.File("arrival.session");
  EXPECT_EQ(Run({"record", "start", "arrival", "--stage", "arrival", "--notes", "as it came"}).out,
            "Recording to " + path + "\n");
  const Output again = Run({"record", "start", "arrival-2"});
  EXPECT_EQ(again.code, 2);
  EXPECT_EQ(again.err,
            "proofdrive: already recording arrival: stop it first with: proofdrive record stop\n");
  EXPECT_THAT(Run({"mark", "pump on"}).out,
              AllOf(StartsWith("Marked at "), HasSubstr(": pump on")));
  const Output marked = Run({"mark", "fan on", "--json"});
  EXPECT_EQ(json::parse(marked.out)["text"], "fan on");

  const Output status = Run({"status"});
  EXPECT_EQ(status.code, 0);
  EXPECT_THAT(status.out, HasSubstr("sources     bench:coolant-leak@50; listening only\n"));
  EXPECT_THAT(status.out, HasSubstr("recording   arrival: "));
  EXPECT_THAT(status.out, ::testing::Not(HasSubstr(" 0 bytes free")));
  EXPECT_GT(json::parse(Run({"status", "--json"}).out)["space"]["free_bytes"], 0);
  EXPECT_THAT(status.out, HasSubstr("off now is no proof of a repair\ncaution     "));
  const std::size_t last_stop = status.out.rfind(", stop) since");
  EXPECT_LT(last_stop, status.out.find(", soon) since")) << "the worst first: " << status.out;
  EXPECT_TRUE(json::parse(Run({"status", "--json"}).out)["values"].is_array());

  const Output stopped = Run({"record", "stop"});
  EXPECT_THAT(stopped.out,
              AllOf(StartsWith("arrival: "), ::testing::EndsWith(", 0 lost: " + path + "\n")));
  const auto reader = session::Reader::Open(files_, path);
  ASSERT_OK(reader);
  EXPECT_EQ((*reader)->state(), session::State::kComplete);
  EXPECT_EQ((*reader)->header().notes, "as it came");
  ASSERT_GE((*reader)->events().size(), 2u);
  EXPECT_EQ((*reader)->events()[1].text, "fan on");
  EXPECT_EQ(Run({"record", "stop"}).err,
            "proofdrive: nothing is being recorded: start with: proofdrive record start NAME\n");
}

TEST_F(DaemonCommandsTest, WrongUse) {
  EXPECT_EQ(Run({"mark"}).code, 2);
  EXPECT_EQ(Run({"record"}).code, 2);
  const Output length = Run({"record", "start", "x", "--for", "long"});
  EXPECT_EQ(length.code, 2);
  EXPECT_THAT(length.err, StartsWith("proofdrive: --for: \"long\" is not a duration"));
}

}  // namespace
}  // namespace proofdrive::tools
