// Series of whole recordings against the frame-by-frame decoder: the (invented) bench vehicle with
// its definitions, and real recordings with definitions made up for the purpose.
#include <gmock/gmock.h>

#include <iostream>
#include <map>

#include "bench/frames/buses.h"
#include "bench/vehicle.h"
#include "decoders/language/loader.h"
#include "session/writer.h"
#include "tests/integration/real_input.h"
#include "tests/support/memory_files.h"
#include "tests/support/series_reference.h"

namespace proofdrive {
namespace {

using testing::Dataset;

std::shared_ptr<const decoders::Definitions> Load(const std::string& text) {
  const decoders::SourceText source{"car.yaml", text};
  const auto loaded = decoders::LoadDefinitions(std::span(&source, 1));
  EXPECT_TRUE(loaded.ok()) << decoders::FormatDiagnostics(loaded.diagnostics);
  return loaded.definitions;
}

class BenchSeries : public ::testing::TestWithParam<const char*> {};

TEST_P(BenchSeries, EveryValueIsThatOfTheDecoder) {
  bench::VehicleOptions options;
  options.scenario = GetParam();
  options.seed = 3;
  options.start = WallTime(std::chrono::seconds(1'772'366'400));
  auto vehicle = bench::Vehicle::Create(options);
  ASSERT_OK(vehicle);
  std::vector<Frame> frames;
  (*vehicle)->Run(std::chrono::seconds(40), frames);
  testing::MemoryFiles files;
  session::Header header;
  for (const auto& [number, bus] :
       {std::pair(bench::kPackBus, "pack"), std::pair(bench::kDriveBus, "drive")}) {
    session::Channel channel;
    channel.number = number;
    channel.bus = bus;
    header.channels.push_back(channel);
  }
  auto writer = session::Writer::Create(files, "a.session", header);
  ASSERT_OK(writer);
  ASSERT_OK((*writer)->Append(frames));
  ASSERT_OK((*writer)->Finish());
  auto reader = session::Reader::Open(files, "a.session");
  ASSERT_OK(reader);
  PosixFiles disk;
  const auto text = ReadWholeFile(disk, testing::SourcePath("decoders/library/bramble-seven.yaml"));
  ASSERT_OK(text);
  const std::size_t values = testing::ExpectSeriesEqualDecoder(**reader, Load(*text));
  std::cout << frames.size() << " frames, " << values << " values compared\n";
  EXPECT_GT(values, frames.size());
}

INSTANTIATE_TEST_SUITE_P(Scenarios, BenchSeries, ::testing::Values("coolant-leak", "drive"));

// Words side by side in every frame; the first byte is taken for a page number in every third.
std::string MadeUpDefinitions(const session::Reader& reader) {
  std::map<std::pair<std::string, std::uint32_t>, std::size_t> shortest;
  for (const session::StreamInfo& stream : reader.streams()) {
    if ((stream.key.flags & (kRemote | kErrorMessage)) != 0) continue;
    std::string bus;
    for (const session::Channel& channel : reader.header().channels) {
      if (channel.number == stream.key.channel) bus = channel.bus;
    }
    const std::uint32_t extended = stream.key.flags & kExtendedId ? 0x80000000U : 0U;
    auto& length = shortest.try_emplace({bus, stream.key.id | extended}, 64).first->second;
    length = std::min<std::size_t>(length, stream.key.length);
  }
  std::string text = "byte order: big\nbuses: {";
  std::string last;
  for (const auto& [key, length] : shortest) {
    if (key.first.empty() || key.first == last) continue;
    last = key.first;
    text += last + ": {bitrate: 500000}, ";
  }
  text += "}\nframes:\n";
  std::size_t frame = 0;
  for (const auto& [key, length] : shortest) {
    const std::string name = "f" + std::to_string(frame++);
    text += "  " + name + ":\n    id: " + std::to_string(key.second & kMaxExtendedId) + "\n";
    if ((key.second & 0x80000000U) != 0) text += "    extended: yes\n";
    if (!key.first.empty()) text += "    bus: " + key.first + "\n";
    if (length >= 4 && frame % 3 == 0) {
      text += "    page: {where: byte 0}\n    series: {c" + name +
              ": {first: byte 1, each: 1 byte, per page: 3, count: 96, signed: yes}}\n";
      continue;
    }
    text += "    signals:\n";
    for (std::size_t byte = 0; byte + 1 < length; byte += 2) {
      const std::string word = name + "_" + std::to_string(byte);
      text += "      " + word + ": {where: bytes " + std::to_string(byte) + "-" +
              std::to_string(byte + 1) + ", scale: 0.1, range: 0..6000, absent: 0xFFFF";
      if (byte == 2) text += ", valid when: " + name + "_0 > 10";
      text += "}\n";
    }
    if (length < 2) text += "      " + name + "_0: {where: byte 0}\n";
  }
  return text;
}

struct RealRecording {
  const char* dataset;
  const char* file;
};

class RealSeries : public ::testing::TestWithParam<RealRecording> {};

TEST_P(RealSeries, EveryValueIsThatOfTheDecoder) {
  const auto folder = Dataset(GetParam().dataset);
  if (!folder) GTEST_SKIP() << "no recordings: set PROOFDRIVE_DATASETS";
  testing::TempDir directory;
  const std::string session = directory.path() + "/a.session";
  testing::ImportRows(*folder + "/" + GetParam().file + ".csv.gz", session);
  PosixFiles files;
  auto reader = session::Reader::Open(files, session);
  ASSERT_OK(reader);
  const auto definitions = Load(MadeUpDefinitions(**reader));
  ASSERT_NE(definitions, nullptr);
  const std::size_t values = testing::ExpectSeriesEqualDecoder(**reader, definitions);
  std::cout << (*reader)->frame_count() << " frames, " << values << " values compared\n";
  EXPECT_GT(values, (*reader)->frame_count() / 2);
}

INSTANTIATE_TEST_SUITE_P(Recordings, RealSeries,
                         ::testing::Values(RealRecording{"phev-two-bus", "power-on-to-ready"},
                                           RealRecording{"phev-two-bus", "ready-idle-after-gap"},
                                           RealRecording{"ev-two-bus-events",
                                                         "power-cycle-two-bus"}));

}  // namespace
}  // namespace proofdrive
