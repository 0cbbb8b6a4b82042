// info, verify, recover, import and export by their command lines: results, messages, exit codes.
#include <gmock/gmock.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "core/base/posix_files.h"
#include "output/pcapng/writer.h"
#include "session/recovery.h"
#include "session/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tests/support/temp_dir.h"
#include "tools/shell/command.h"

namespace proofdrive::tools {
namespace {

using ::testing::EndsWith;
using ::testing::HasSubstr;
using ::testing::StartsWith;
using Bytes = std::vector<std::uint8_t>;

constexpr std::int64_t kStart = 1'700'000'000'000'000'000;

Frame MakeFrame(std::int64_t time_ns, std::uint32_t id, std::uint8_t channel = 0) {
  Frame frame;
  frame.time = WallFromNanoseconds(time_ns);
  frame.id = id;
  frame.channel = channel;
  frame.length = 8;
  return frame;
}

class Captures : public ::testing::Test {
 protected:
  int Run(std::vector<std::string> words) {
    out_.str("");
    err_.str("");
    words.insert(words.begin(), "proofdrive");
    std::vector<const char*> argv;
    for (const std::string& word : words) argv.push_back(word.c_str());
    Environment environment{*files_, out_, err_, false};
    return RunTool(static_cast<int>(argv.size()), argv.data(), environment);
  }
  std::string out() const { return out_.str(); }
  std::string err() const { return err_.str(); }

  // Two channels, 100 frames each a millisecond apart, channel 1 written 10 ms late.
  void PutCapture(const std::string& path) {
    auto writer = output::CaptureWriter::Create(memory_, path, "another program").value();
    session::Channel channel;
    channel.name = "can0";
    ASSERT_OK(writer->AddChannel(channel));
    channel.name = "can1";
    channel.number = 1;
    ASSERT_OK(writer->AddChannel(channel));
    for (int i = 0; i < 100; ++i) {
      ASSERT_OK(writer->AddFrame(MakeFrame(kStart + i * 1'000'000, 0x100)));
      ASSERT_OK(writer->AddFrame(MakeFrame(kStart + (i - 10) * 1'000'000, 0x200, 1)));
    }
    ASSERT_OK(writer->Finish());
  }

  session::Header Header() {
    session::Header header;
    header.id = std::string(32, 'a');
    header.name = "first look";
    header.stage = session::Stage::kArrival;
    header.vehicle = "Bramble Seven (invented)";
    header.software = "proofdrived 0";
    header.source = "bench:coolant-leak";
    header.started.wall = WallFromNanoseconds(kStart);
    session::Channel channel;
    channel.name = "can0";
    channel.bus = "pack";
    channel.bitrate = 500000;
    channel.timestamps = "simulated";
    header.channels.push_back(channel);
    header.definitions.push_back({"defs/x.yaml", "frames: {}\n"});
    return header;
  }

  // 1,001 frames 1 ms apart: 1 s.
  void PutSession(const std::string& path, bool finish = true) {
    auto writer = session::Writer::Create(memory_, path, Header()).value();
    std::vector<Frame> frames;
    for (int i = 0; i <= 1000; ++i) {
      frames.push_back(MakeFrame(kStart + i * 1'000'000, i % 2 == 0 ? 0x100 : 0x200));
    }
    ASSERT_OK(writer->Append(frames));
    session::Event mark;
    mark.kind = session::EventKind::kMark;
    mark.time = WallFromNanoseconds(kStart + 5);
    mark.text = "door open";
    ASSERT_OK(writer->AddEvent(mark));
    ASSERT_OK(writer->Sync());
    if (finish) {
      ASSERT_OK(writer->Finish());
    }
  }

  proofdrive::testing::MemoryFiles memory_;
  Files* files_ = &memory_;
  std::ostringstream out_;
  std::ostringstream err_;
};

// --- import ---

TEST_F(Captures, ImportSaysWhatItDid) {
  PutCapture("x.pcapng");
  EXPECT_EQ(Run({"import", "x.pcapng", "--session", "x.session", "--bus", "can0=pack", "--stage",
                 "drive", "--notes", "a note"}),
            0);
  EXPECT_EQ(err(), "");
  EXPECT_THAT(out(), StartsWith("x.session: 200 frames in 0.11 s, "));
  EXPECT_THAT(out(), HasSubstr("can0     pack     100  2023-11-14T22:13:20.000000Z  "
                               "2023-11-14T22:13:20.099000Z\n"));
  EXPECT_THAT(out(), HasSubstr("Order  the channels were out of order with each other at 100 "
                               "places, by up to 10 ms; merged by time,\n       none left\n"));
  EXPECT_THAT(out(), HasSubstr("Clock  within every channel time never ran backward\n"));
  auto reader = session::Reader::Open(memory_, "x.session").value();
  EXPECT_EQ(reader->header().stage, session::Stage::kDrive);
  EXPECT_EQ(reader->header().notes, "a note");
  EXPECT_EQ(reader->header().name, "x");
  EXPECT_EQ(reader->header().source, "x.pcapng");
  EXPECT_EQ(reader->header().resolution, std::chrono::microseconds(1));
  EXPECT_EQ(reader->header().channels.at(0).bus, "pack");
  EXPECT_EQ(reader->header().channels.at(1).bus, "");
}

TEST_F(Captures, ImportAddsTheSuffixOfSessions) {
  PutCapture("x.pcapng");
  EXPECT_EQ(Run({"import", "x.pcapng", "--session", "y"}), 0);
  EXPECT_TRUE(memory_.Exists("y.session"));
}

TEST_F(Captures, ImportAsJson) {
  PutCapture("x.pcapng");
  EXPECT_EQ(Run({"import", "x.pcapng", "--session", "x.session", "--json"}), 0);
  const auto json = nlohmann::json::parse(out());
  EXPECT_EQ(json["frames"], 200);
  EXPECT_EQ(json["channels"][1]["name"], "can1");
  EXPECT_EQ(json["order"]["cross_channel_steps"], 100);
  EXPECT_EQ(json["order"]["cross_channel_steps_left"], 0);
}

TEST_F(Captures, ImportOfAMissingFile) {
  EXPECT_EQ(Run({"import", "gone.pcapng", "--session", "x.session"}), 2);
  EXPECT_EQ(err(), "proofdrive: gone.pcapng: there is no such file; give the path of a capture\n");
}

TEST_F(Captures, ImportOfAnEmptyFile) {
  memory_.Put("x.pcapng", {});
  EXPECT_EQ(Run({"import", "x.pcapng", "--session", "x.session"}), 2);
  EXPECT_EQ(err(),
            "proofdrive: x.pcapng: not a capture: the file is empty. Give a pcapng or pcap file "
            "with CAN frames (link type 227); see docs/captures.md\n");
}

TEST_F(Captures, ImportOfSomethingElse) {
  memory_.Put("x.pcapng", {'t', 'e', 'x', 't', '!'});
  EXPECT_EQ(Run({"import", "x.pcapng", "--session", "x.session"}), 2);
  EXPECT_EQ(err(),
            "proofdrive: x.pcapng: not a capture: it begins with 74 65 78 74. Give a pcapng or "
            "pcap file with CAN frames (link type 227); see docs/captures.md\n");
  EXPECT_FALSE(memory_.Exists("x.session"));
}

TEST_F(Captures, ImportOfAFolder) {
  const proofdrive::testing::TempDir folder;
  PosixFiles posix;
  files_ = &posix;
  EXPECT_EQ(Run({"import", folder.path(), "--session", folder.File("x.session")}), 2);
  EXPECT_EQ(err(), "proofdrive: open " + folder.path() + ": it is a folder, not a file\n");
}

TEST_F(Captures, ImportDoesNotOverwrite) {
  PutCapture("x.pcapng");
  memory_.Put("x.session", {1, 2, 3});
  EXPECT_EQ(Run({"import", "x.pcapng", "--session", "x.session"}), 2);
  EXPECT_EQ(err(),
            "proofdrive: x.session exists already; nothing was changed. Give another name\n");
  EXPECT_EQ(memory_.Contents("x.session"), (Bytes{1, 2, 3}));
}

TEST_F(Captures, ImportWithABusForAChannelThatIsNotThere) {
  PutCapture("x.pcapng");
  EXPECT_EQ(Run({"import", "x.pcapng", "--session", "x.session", "--bus", "can7=pack"}), 2);
  EXPECT_EQ(err(), "proofdrive: no channel \"can7\" in x.pcapng; it has can0, can1\n");
  EXPECT_FALSE(memory_.Exists("x.session"));
}

TEST_F(Captures, ImportWithABusThatIsNoPair) {
  PutCapture("x.pcapng");
  EXPECT_EQ(Run({"import", "x.pcapng", "--session", "x.session", "--bus", "pack"}), 2);
  EXPECT_EQ(err(), "proofdrive: --bus pack: write CHANNEL=BUS, for example can0=pack\n");
}

TEST_F(Captures, ImportWithAFullDiskLeavesNothing) {
  PutCapture("x.pcapng");
  memory_.SetCapacity(memory_.Contents("x.pcapng").size() + 100);
  EXPECT_EQ(Run({"import", "x.pcapng", "--session", "x.session"}), 2);
  EXPECT_THAT(err(), HasSubstr("No space left on device"));
  EXPECT_FALSE(memory_.Exists("x.session"));
}

TEST_F(Captures, ImportTruncatedAtEveryLengthUsesWhatIsThere) {
  PutCapture("whole.pcapng");
  const Bytes whole = memory_.Contents("whole.pcapng");
  std::uint64_t previous = 0;
  for (std::size_t length = 0; length < whole.size(); length += (length < 400 ? 1 : 97)) {
    memory_.Put("x.pcapng", Bytes(whole.begin(), whole.begin() + static_cast<long>(length)));
    if (memory_.Exists("x.session")) {
      ASSERT_OK(memory_.Remove("x.session"));
    }
    const int code = Run({"import", "x.pcapng", "--session", "x.session"});
    if (code == 2) {
      EXPECT_FALSE(memory_.Exists("x.session")) << length;
      EXPECT_EQ(previous, 0u) << length;
      continue;
    }
    ASSERT_TRUE(code == 0 || code == 4) << length;
    EXPECT_EQ(code == 4, err().find("the file ends in the middle") != std::string::npos);
    const auto frames = session::Reader::Open(memory_, "x.session").value()->frame_count();
    EXPECT_GE(frames, previous);
    previous = frames;
  }
  EXPECT_GT(previous, 190u);
}

TEST_F(Captures, ImportOfATruncatedCaptureSaysWhereAndTheSessionRemembers) {
  PutCapture("x.pcapng");
  Bytes& bytes = memory_.Contents("x.pcapng");
  const std::size_t statistics = 2 * 76;  // two blocks at the end
  bytes.resize(bytes.size() - statistics - 10);
  EXPECT_EQ(Run({"import", "x.pcapng", "--session", "x.session"}), 4);
  const std::string place = std::to_string(bytes.size() - 50);
  EXPECT_EQ(err(), "proofdrive: the file ends in the middle of something that begins at byte " +
                       place +
                       "; everything before was read and the last 50 bytes lost. Copy the capture "
                       "again if the original is longer\n");
  EXPECT_THAT(out(), StartsWith("x.session: 199 frames in "));
  const auto reader = session::Reader::Open(memory_, "x.session").value();
  ASSERT_EQ(reader->events().size(), 1u);
  EXPECT_EQ(reader->events()[0].kind, session::EventKind::kNotice);
  EXPECT_THAT(reader->events()[0].text, StartsWith("import: the file ends in the middle"));
}

// --- export ---

TEST_F(Captures, ExportSaysWhatItDid) {
  PutSession("x.session");
  EXPECT_EQ(Run({"export", "x.session", "--to", "pcapng", "--out", "x.pcapng"}), 0);
  EXPECT_THAT(out(), StartsWith("x.pcapng: 1,001 frames, 1 mark, 0 lost frames noted, "));
  EXPECT_EQ(err(), "");
}

TEST_F(Captures, ExportToAFormThatIsNotThere) {
  PutSession("x.session");
  EXPECT_EQ(Run({"export", "x.session", "--to", "paper", "--out", "x.txt"}), 2);
  EXPECT_EQ(err(), "proofdrive: export to \"paper\" is not offered; there is pcapng, csv, jsonl\n");
}

TEST_F(Captures, ExportOfRowsNeedsNoDefinitions) {
  PutSession("x.session");
  ASSERT_EQ(Run({"export", "x.session", "--to", "csv", "--out", "x.csv"}), 0) << err();
  const std::string rows = ReadWholeFile(memory_, "x.csv").value();
  EXPECT_THAT(rows, StartsWith("time_s,bus,id,kind,length,data\n"));
  EXPECT_EQ(std::count(rows.begin(), rows.end(), '\n'), 1 + 1001 + 1);
  ASSERT_EQ(Run({"export", "x.session", "--to", "jsonl", "--out", "x.jsonl"}), 0) << err();
  EXPECT_THAT(ReadWholeFile(memory_, "x.jsonl").value(), StartsWith("{\"time_s\":"));
}

TEST_F(Captures, ExportDoesNotOverwrite) {
  PutSession("x.session");
  memory_.Put("x.pcapng", {7});
  EXPECT_EQ(Run({"export", "x.session", "--to", "pcapng", "--out", "x.pcapng"}), 2);
  EXPECT_EQ(err(),
            "proofdrive: --out x.pcapng exists; nothing was written. Give another name, or "
            "--overwrite to replace it\n");
  EXPECT_EQ(memory_.Contents("x.pcapng"), Bytes{7});
}

TEST_F(Captures, ExportOfAMissingSession) {
  EXPECT_EQ(Run({"export", "gone.session", "--to", "pcapng", "--out", "x.pcapng"}), 2);
  EXPECT_EQ(err(),
            "proofdrive: gone.session: there is no such file; give the path of a .session file\n");
}

// --- info ---

TEST_F(Captures, InfoTellsEverything) {
  PutSession("x.session");
  EXPECT_EQ(Run({"info", "x.session"}), 0);
  const std::string text = out();
  EXPECT_THAT(text, StartsWith("x.session: complete by its index, 1,001 frames in 1 s\n"
                               "  Checked      its index only; whether every frame can be read "
                               "says: proofdrive verify x.session\n"
                               "  What         first look, stage arrival\n"
                               "  Vehicle      Bramble Seven (invented)\n"));
  EXPECT_THAT(text,
              HasSubstr("  When         2023-11-14T22:13:20.000Z to "
                        "2023-11-14T22:13:21.000Z\n"
                        "  Recorded     bench:coolant-leak, written by proofdrived 0\n"
                        "  Clocks       times to 1 us, stated by: simulated; recorder started "
                        "2023-11-14T22:13:20.000Z; no\n"
                        "               step of the wall clock noted\n"));
  EXPECT_THAT(text, HasSubstr("  Definitions  x.yaml (11 bytes)\n"));
  // 1,001 base frames of 8 bytes in 1 s at 500 kbit/s: 111 to 135 bits each (ISO 11898-1).
  EXPECT_THAT(text, HasSubstr("22.2 to 27 %"));
  EXPECT_THAT(text, HasSubstr("can0            100      8     501         500         2 ms\n"));
  EXPECT_THAT(text, HasSubstr("door open"));
}

TEST_F(Captures, InfoOfSeveralAsJson) {
  PutSession("x.session");
  PutSession("y.session");
  EXPECT_EQ(Run({"info", "x.session", "y.session", "--json"}), 0);
  const auto json = nlohmann::json::parse(out());
  ASSERT_EQ(json["sessions"].size(), 2u);
  EXPECT_EQ(json["sessions"][1]["path"], "y.session");
  EXPECT_EQ(json["sessions"][0]["state"], "complete");
  EXPECT_EQ(json["sessions"][0]["streams"].size(), 2u);
  EXPECT_EQ(json["sessions"][0]["channels"][0]["least_bits_per_s"], 111.0 * 1001);
}

TEST_F(Captures, InfoShowsTheBusiestStreamsUnlessAskedForAll) {
  auto writer = session::Writer::Create(memory_, "x.session", Header()).value();
  std::vector<Frame> frames;
  for (std::uint32_t i = 0; i < 15; ++i) frames.push_back(MakeFrame(kStart + i, 0x100 + i));
  ASSERT_OK(writer->Append(frames));
  ASSERT_OK(writer->Finish());
  EXPECT_EQ(Run({"info", "x.session"}), 0);
  EXPECT_THAT(out(), HasSubstr("Streams, the 10 busiest of 15 (--all shows every one)\n"));
  EXPECT_THAT(out(), ::testing::Not(HasSubstr("10E")));
  EXPECT_EQ(Run({"info", "x.session", "--all"}), 0);
  EXPECT_THAT(out(), HasSubstr("10E"));
}

TEST_F(Captures, InfoTellsStreamsOfOneIdentifierApart) {
  auto writer = session::Writer::Create(memory_, "x.session", Header()).value();
  std::vector<Frame> frames(4, MakeFrame(kStart, 0x123));
  frames[1].flags = kRemote;
  frames[2].flags = kFlexibleData | kBitRateSwitch;
  frames[3].flags = kSentHere;
  ASSERT_OK(writer->Append(frames));
  ASSERT_OK(writer->Finish());
  EXPECT_EQ(Run({"info", "x.session"}), 0);
  for (const char* text : {"       123  ", "123 remote  ", "    123 FD  ", "  123 sent  "}) {
    EXPECT_THAT(out(), HasSubstr(text));
  }
}

TEST_F(Captures, InfoOfSomethingElse) {
  memory_.Put("x.session", {'n', 'o'});
  EXPECT_EQ(Run({"info", "x.session"}), 2);
  EXPECT_THAT(err(), StartsWith("proofdrive: x.session"));
  EXPECT_EQ(out(), "");
}

TEST_F(Captures, WrongUseNamesTheCommandAndItsHelp) {
  EXPECT_EQ(Run({"verfy", "x.session"}), 2);
  EXPECT_EQ(err(),
            "proofdrive: there is no command \"verfy\"; did you mean verify?\n"
            "Try: proofdrive --help\n");
  EXPECT_EQ(Run({}), 2);
  EXPECT_EQ(err(), "proofdrive: no command is given\nTry: proofdrive --help\n");
  EXPECT_EQ(Run({"verify"}), 2);
  EXPECT_EQ(err(), "proofdrive: SESSION is required\nTry: proofdrive verify --help\n");
}

// Damage within a chunk does not show in the index, and "complete" would deny it.
TEST_F(Captures, InfoClaimsNoMoreThanItRead) {
  PutSession("x.session");
  const Bytes whole = memory_.Contents("x.session");
  for (std::size_t at = whole.size() / 2; out().find("data loss") == std::string::npos; ++at) {
    Bytes bytes = whole;
    bytes.at(at) ^= 0x10;
    memory_.Put("x.session", bytes);
    EXPECT_EQ(Run({"verify", "x.session", "--json"}), 4);
  }
  EXPECT_EQ(Run({"info", "x.session"}), 0);
  EXPECT_THAT(out(), StartsWith("x.session: complete by its index, "));
  EXPECT_THAT(out(), HasSubstr("proofdrive verify x.session"));
  EXPECT_EQ(Run({"info", "x.session", "--faults"}), 4);
  EXPECT_THAT(out(), StartsWith("x.session: damaged, "));
  EXPECT_EQ(Run({"info", "x.session", "--faults", "--json"}), 4);
  EXPECT_EQ(nlohmann::json::parse(out())["sessions"][0]["state"], "damaged");
}

TEST_F(Captures, JsonGoesToAFileWithEveryCommand) {
  PutSession("x.session");
  PutCapture("c.pcapng");
  const std::vector<std::vector<std::string>> commands = {
      {"info", "x.session"},
      {"verify", "x.session"},
      {"recover", "x.session"},
      {"decode", "x.session"},
      {"codes", "x.session"},
      {"identify", "x.session"},
      {"check", "x.session"},
      {"history", "x.session"},
      {"compare", "x.session", "x.session"},
      {"export", "x.session", "--to", "pcapng", "--out", "out.pcapng"},
      {"import", "c.pcapng", "--session", "new.session"},
  };
  for (std::vector<std::string> words : commands) {
    const std::string file = words[0] + ".json";
    words.insert(words.end(), {"--json", file});
    EXPECT_NE(Run(words), 2) << words[0] << ": " << err();
    EXPECT_THAT(out(), ::testing::Not(StartsWith("{"))) << words[0];
    ASSERT_TRUE(memory_.Exists(file)) << words[0];
    EXPECT_EQ(memory_.Contents(file)[0], '{') << words[0];
  }
  EXPECT_EQ(Run({"verify", "x.session", "--json", "x.session"}), 2);
  EXPECT_THAT(err(), HasSubstr("would overwrite a recording"));
}

TEST_F(Captures, ASessionRightBehindJsonIsRead) {
  PutSession("x.session");
  EXPECT_EQ(Run({"verify", "--json", "x.session"}), 0) << err();
  EXPECT_THAT(out(), StartsWith("{"));
}

TEST_F(Captures, HelpOfACommandBelowShowsItsOwnExample) {
  EXPECT_EQ(Run({"record", "stop", "--help"}), 0);
  EXPECT_THAT(out(), HasSubstr("Example:\n  proofdrive record stop\n"));
  EXPECT_THAT(out(), ::testing::Not(HasSubstr("record start")));
  EXPECT_EQ(Run({"record", "start", "--help"}), 0);
  EXPECT_THAT(out(), HasSubstr("Example:\n  proofdrive record start before-1"));
}

// --- verify and recover ---

TEST_F(Captures, VerifyOfACompleteSession) {
  PutSession("x.session");
  EXPECT_EQ(Run({"verify", "x.session"}), 0);
  EXPECT_EQ(out(),
            "x.session: complete, 1,001 frames and 1 event can be read, nothing is missing.\n");
}

TEST_F(Captures, VerifyNamesDamageWhereverItIs) {
  PutSession("whole.session");
  const Bytes whole = memory_.Contents("whole.session");
  int lost = 0;
  for (std::size_t at = 0; at < whole.size(); at += 7) {
    Bytes bytes = whole;
    bytes[at] ^= 0xFF;
    memory_.Put("x.session", bytes);
    const int code = Run({"verify", "x.session"});
    ASSERT_TRUE(code == 4 || code == 2) << at << ": " << out();  // 2: not even a session any more
    if (code == 2) continue;
    EXPECT_THAT(out(), StartsWith("x.session: damaged, "));
    const bool text_says_lost = out().find("\n  lost    ") != std::string::npos;
    EXPECT_TRUE(text_says_lost || out().find("\n  notice  ") != std::string::npos) << out();
    EXPECT_EQ(Run({"verify", "x.session", "--json"}), 4);
    const auto json = nlohmann::json::parse(out());
    const auto& session = json["sessions"][0];
    EXPECT_EQ(session["state"], "damaged");
    EXPECT_EQ(session["losses"][0]["severity"], text_says_lost ? "data loss" : "notice") << at;
    EXPECT_FALSE(session["losses"][0]["advice"].get<std::string>().empty());
    lost += text_says_lost ? 1 : 0;
  }
  EXPECT_GT(lost, 0);
}

TEST_F(Captures, VerifyOfAFolderCountsTheSoundTheDamagedAndTheUnreadable) {
  PutSession("all/a.session");
  PutSession("all/b.session");
  Bytes bytes = memory_.Contents("all/b.session");
  bytes[bytes.size() / 2] ^= 0xFF;
  memory_.Put("all/b.session", bytes);
  memory_.Put("all/c.session", Bytes{'n', 'o', 't', 'e'});
  memory_.Put("all/c.txt", Bytes{'n', 'o', 't', 'e'});
  EXPECT_EQ(Run({"verify", "all/"}), 4);
  EXPECT_THAT(out(), StartsWith("all/a.session: complete, 1,001 frames and 1 event can be read, "
                                "nothing is missing.\nall/b.session: damaged, "));
  EXPECT_THAT(out(), EndsWith("3 sessions: 1 with nothing lost, 1 with losses, 1 unreadable.\n"));
  EXPECT_THAT(err(), StartsWith("proofdrive: all/c.session"));
  EXPECT_EQ(Run({"verify", "all/a.session", "all/a.session"}), 0);
  EXPECT_THAT(out(), EndsWith("2 sessions: 2 with nothing lost, 0 with losses, 0 unreadable.\n"));
  EXPECT_EQ(Run({"verify", "all/a.session", "--json"}), 0);
  EXPECT_EQ(nlohmann::json::parse(out())["sessions"][0]["path"], "all/a.session");
}

TEST_F(Captures, RecoverCompletesAnInterruptedSession) {
  PutSession("x.session", false);
  EXPECT_EQ(Run({"verify", "x.session"}), 0);
  EXPECT_THAT(out(), StartsWith("x.session: interrupted, 1,001 frames and 1 event can be read, "));
  EXPECT_EQ(Run({"recover", "x.session"}), 0);
  EXPECT_THAT(out(), StartsWith("x.recovered.session: complete, 1,001 frames and 2 events. "
                                "x.session was not changed; keep it.\n"));
  EXPECT_EQ(Run({"verify", "x.recovered.session"}), 0);
  EXPECT_EQ(Run({"recover", "x.session"}), 2);
  EXPECT_EQ(err(),
            "proofdrive: x.recovered.session exists already; nothing was changed. Give another "
            "name with --out\n");
  EXPECT_EQ(Run({"recover", "x.session", "--out", "y.session", "--json"}), 0);
  EXPECT_EQ(nlohmann::json::parse(out())["output"], "y.session");
}

TEST_F(Captures, RecoverOfACompleteSessionDoesNothing) {
  PutSession("x.session");
  EXPECT_EQ(Run({"recover", "x.session"}), 0);
  EXPECT_EQ(out(), "x.session is complete; there is nothing to recover.\n");
  EXPECT_FALSE(memory_.Exists("x.recovered.session"));
}

TEST_F(Captures, RecoverOfAMissingSession) {
  EXPECT_EQ(Run({"recover", "gone.session"}), 2);
  EXPECT_EQ(err(),
            "proofdrive: gone.session: there is no such file; give the path of a .session file\n");
}

}  // namespace
}  // namespace proofdrive::tools
