// A session exported to pcapng and imported again is the same session.
#include <gmock/gmock.h>

#include <random>

#include "output/export/exporters.h"
#include "output/pcapng/import.h"
#include "session/reader.h"
#include "session/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

namespace proofdrive::output {
namespace {

using proofdrive::testing::IsError;
using proofdrive::testing::MemoryFiles;
using session::Event;
using session::EventKind;

constexpr std::int64_t kStart = 1'700'000'000'000'000'000;

std::vector<session::Channel> Channels() {
  std::vector<session::Channel> channels(3);
  channels[0].number = 0;
  channels[0].name = "can0";
  channels[0].bus = "pack";
  channels[0].bitrate = 500000;
  channels[1].number = 1;
  channels[1].name = "can1";
  channels[1].bus = "drive";
  channels[2].number = 2;
  channels[2].name = "vcan0";
  return channels;
}

Frame RandomFrame(std::mt19937& random) {
  Frame frame;
  frame.channel = static_cast<std::uint8_t>(random() % 3);
  const unsigned kind = static_cast<unsigned>(random() % 10);
  unsigned flags = random() % 2 == 0 ? unsigned{kExtendedId} : 0U;
  if (random() % 8 == 0) flags |= kSentHere;
  std::size_t length = random() % 9;
  if (kind == 0) {
    flags = (flags & kSentHere) | kErrorMessage;
    length = 8;
  } else if (kind == 1) {
    flags |= kRemote;
  } else if (kind < 5) {
    flags |= kFlexibleData;
    if (random() % 2 == 0) flags |= kBitRateSwitch;
    if (random() % 4 == 0) flags |= kErrorState;
    length = FdLengthOfDlc(static_cast<std::uint8_t>(random() % 16));
  } else if (length == 8 && random() % 4 == 0) {
    frame.raw_dlc = static_cast<std::uint8_t>(9 + random() % 7);
  }
  frame.flags = static_cast<std::uint8_t>(flags);
  const bool long_id = (flags & (kExtendedId | kErrorMessage)) != 0;
  frame.id = static_cast<std::uint32_t>(random()) & (long_id ? kMaxExtendedId : kMaxBaseId);
  frame.length = static_cast<std::uint8_t>(length);
  for (std::size_t i = 0; i < frame.payload().size(); ++i) {
    frame.data[i] = static_cast<std::uint8_t>(random());
  }
  return frame;
}

struct Recording {
  std::vector<session::Channel> channels;
  std::vector<Frame> frames;
  std::vector<Event> marks;
  std::vector<Event> drops;
};

// Channels lag behind each other; within a channel time grows.
Recording RandomRecording(std::uint32_t seed, std::size_t count) {
  std::mt19937 random(seed);
  Recording recording;
  recording.channels = Channels();
  std::int64_t now = kStart;
  for (std::size_t i = 0; i < count; ++i) {
    Frame frame = RandomFrame(random);
    now += 1 + static_cast<std::int64_t>(random() % 2'000'000);
    frame.time = WallFromNanoseconds(now - frame.channel * 20'000'000);
    if (random() % 100 == 0) {
      Event mark;
      mark.kind = EventKind::kMark;
      mark.time = WallFromNanoseconds(now);
      mark.text = "mark " + std::to_string(i);
      recording.marks.push_back(mark);
    }
    if (random() % 70 == 0) {
      Event drops;
      drops.kind = EventKind::kDrops;
      drops.time = frame.time;
      drops.channel = frame.channel;
      drops.count = 1 + random() % 1000;
      recording.drops.push_back(drops);
    }
    recording.frames.push_back(frame);
  }
  return recording;
}

void WriteSession(Files& files, const std::string& path, const Recording& recording) {
  session::Header header;
  header.resolution = Duration(1);
  header.channels = recording.channels;
  auto writer = session::Writer::Create(files, path, header).value();
  ASSERT_OK(writer->Append(recording.frames));
  for (const Event& event : recording.marks) ASSERT_OK(writer->AddEvent(event));
  for (const Event& event : recording.drops) ASSERT_OK(writer->AddEvent(event));
  ASSERT_OK(writer->Finish());
}

std::vector<Event> OfKind(const session::Reader& reader, EventKind kind) {
  std::vector<Event> events;
  for (const Event& event : reader.events()) {
    if (event.kind == kind) events.push_back(event);
  }
  return events;
}

Result<ExportReport> Export(Files& files, const std::string& path, const std::string& target) {
  auto reader = session::Reader::Open(files, path).value();
  ExportOptions options;
  options.target = target;
  options.software = "proofdrive test";
  return MakeExporter("pcapng").value()->Export(*reader, files, options);
}

Result<ImportReport> Import(Files& files, const std::string& capture, const std::string& path) {
  ImportOptions options;
  options.capture = capture;
  options.session = path;
  return ImportCapture(files, options);
}

void ExpectSame(session::Reader& reader, const Recording& recording) {
  std::size_t at = 0;
  ASSERT_OK(reader.ForEachFrame([&](const Frame& frame) {
    EXPECT_LT(at, recording.frames.size());
    EXPECT_EQ(frame, recording.frames[at]) << "frame " << at;
    return ++at < recording.frames.size() && !::testing::Test::HasFailure();
  }));
  EXPECT_EQ(at, recording.frames.size());
  EXPECT_EQ(reader.frame_count(), recording.frames.size());
  EXPECT_EQ(OfKind(reader, EventKind::kMark), recording.marks);
  const std::vector<Event> drops = OfKind(reader, EventKind::kDrops);
  ASSERT_EQ(drops.size(), recording.drops.size());
  for (std::size_t i = 0; i < drops.size(); ++i) {
    EXPECT_EQ(drops[i].time, recording.drops[i].time);
    EXPECT_EQ(drops[i].channel, recording.drops[i].channel);
    EXPECT_EQ(drops[i].count, recording.drops[i].count);
  }
  ASSERT_EQ(reader.header().channels.size(), recording.channels.size());
  for (std::size_t i = 0; i < recording.channels.size(); ++i) {
    EXPECT_EQ(reader.header().channels[i].number, recording.channels[i].number);
    EXPECT_EQ(reader.header().channels[i].name, recording.channels[i].name);
    EXPECT_EQ(reader.header().channels[i].bus, recording.channels[i].bus);
    EXPECT_EQ(reader.header().channels[i].bitrate, recording.channels[i].bitrate);
  }
}

TEST(RoundTrip, RandomSessionsComeBackTheSame) {
  for (int round = 0; round < 5; ++round) {
    const std::uint32_t seed = std::random_device{}();
    SCOPED_TRACE("seed " + std::to_string(seed));
    MemoryFiles files;
    const Recording recording = RandomRecording(seed, 3000);
    WriteSession(files, "a.session", recording);
    const auto exported = Export(files, "a.session", "a.pcapng");
    ASSERT_OK(exported);
    EXPECT_EQ(exported.value().frames, recording.frames.size());
    EXPECT_EQ(exported.value().marks, recording.marks.size());
    const auto imported = Import(files, "a.pcapng", "b.session");
    ASSERT_OK(imported);
    EXPECT_TRUE(imported.value().order_kept);
    EXPECT_EQ(imported.value().capture.malformed, 0u);
    ExpectSame(*session::Reader::Open(files, "b.session").value(), recording);
  }
}

TEST(RoundTrip, MarksThatAreNotUtf8ComeBackAsTheyWere) {
  MemoryFiles files;
  Recording recording = RandomRecording(4, 10);
  Event mark;
  mark.kind = EventKind::kMark;
  mark.time = recording.frames.back().time;
  mark.text = std::string("a\xFF\xC0\n\0z", 6);
  recording.marks = {mark};
  WriteSession(files, "a.session", recording);
  ASSERT_OK(Export(files, "a.session", "a.pcapng"));
  ASSERT_OK(Import(files, "a.pcapng", "b.session"));
  ExpectSame(*session::Reader::Open(files, "b.session").value(), recording);
}

TEST(RoundTrip, LossesAfterTheLastFrameOfAChannelAreKept) {
  MemoryFiles files;
  Recording recording = RandomRecording(1, 50);
  recording.drops.clear();
  Event late;
  late.kind = EventKind::kDrops;
  late.time = recording.frames.back().time + std::chrono::hours(1);
  late.channel = 1;
  late.count = 12;
  recording.drops.push_back(late);
  WriteSession(files, "a.session", recording);
  ASSERT_OK(Export(files, "a.session", "a.pcapng"));
  EXPECT_EQ(Import(files, "a.pcapng", "b.session").value().drops, 12u);
}

TEST(Exporters, UnknownFormNamesThoseThereAre) {
  EXPECT_THAT(MakeExporter("archive"),
              IsError(ErrorKind::kInvalidArgument,
                      "export to \"archive\" is not offered; there is pcapng, csv, jsonl"));
}

TEST(Exporters, EveryRowHasANameAndMakesAnExporter) {
  for (const ExporterRow& row : Exporters()) {
    EXPECT_FALSE(row.name.empty());
    EXPECT_FALSE(row.summary.empty());
    EXPECT_OK(MakeExporter(row.name));
  }
}

TEST(Exporters, FullDiskLeavesNothingBehind) {
  MemoryFiles files;
  WriteSession(files, "a.session", RandomRecording(2, 500));
  std::uint64_t used = 0;
  for (const char* path : {"a.session"}) used += files.Contents(path).size();
  files.SetCapacity(used + 1000);
  EXPECT_THAT(Export(files, "a.session", "a.pcapng"),
              IsError(ErrorKind::kNoSpace, "a.pcapng: No space left on device"));
  EXPECT_FALSE(files.Exists("a.pcapng"));
}

TEST(Import, FailureAtEveryStepLeavesNoSessionAndALaterImportWorks) {
  MemoryFiles files;
  WriteSession(files, "a.session", RandomRecording(3, 200));
  ASSERT_OK(Export(files, "a.session", "a.pcapng"));
  bool done = false;
  for (int nth = 1; !done; ++nth) {
    files.FailAfter(nth, ErrorKind::kNoSpace, false);
    done = Import(files, "a.pcapng", "b.session").ok();
    files.StopFailing();
    EXPECT_EQ(files.Exists("b.session"), done) << "step " << nth;
    ASSERT_LT(nth, 1000);
  }
  EXPECT_EQ(session::Reader::Open(files, "b.session").value()->frame_count(), 200u);
}

}  // namespace
}  // namespace proofdrive::output
