#include "session/beside/measurements.h"

#include <gmock/gmock.h>

#include "session/model/names.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

namespace proofdrive::session {
namespace {

using proofdrive::testing::IsOk;
using proofdrive::testing::MemoryFiles;
using ::testing::HasSubstr;
using ::testing::IsEmpty;

Header Session(const std::string& id) {
  Header header;
  header.id = id;
  return header;
}

Measurement One() {
  Measurement one;
  one.at = WallFromNanoseconds(1'700'000'000'123'456'789);
  one.role = "cell voltages";
  one.element = 7;
  one.value = 3652;
  one.unit = "mV";
  one.how = "meter \xC3\xA0 vide\n";
  one.text = "cell 7 3652 mV";
  return one;
}

TEST(Measurements, ComeBackAsTheyWere) {
  MemoryFiles files;
  EXPECT_EQ(MeasurementsPath("d/x.part-0002.session"), "d/x.measured");
  ASSERT_OK(WriteMeasurements(files, "x.session", Session("a"), {One(), One()}));
  const auto all = ReadMeasurements(files, "x.session", Session("a"));
  ASSERT_OK(all);
  ASSERT_EQ(all->size(), 2U);
  EXPECT_EQ((*all)[1].at, One().at);
  EXPECT_EQ((*all)[1].role, One().role);
  EXPECT_EQ((*all)[1].element, One().element);
  EXPECT_EQ((*all)[1].value, One().value);
  EXPECT_EQ((*all)[1].unit, One().unit);
  EXPECT_EQ((*all)[1].how, One().how);
  EXPECT_EQ((*all)[1].text, One().text);
}

TEST(Measurements, ThePartsOfARecordingShareThem) {
  MemoryFiles files;
  Header second = Session("b");
  second.recording = "a";
  ASSERT_OK(WriteMeasurements(files, "x.session", Session("a"), {One()}));
  const auto all = ReadMeasurements(files, "x.part-0002.session", second);
  ASSERT_OK(all);
  EXPECT_EQ(all->size(), 1U);
}

TEST(Measurements, WithoutAnyThereIsNoFile) {
  MemoryFiles files;
  EXPECT_THAT(*ReadMeasurements(files, "x.session", Session("a")), IsEmpty());
  ASSERT_OK(WriteMeasurements(files, "x.session", Session("a"), {}));
  EXPECT_FALSE(files.Exists("x.measured"));
  ASSERT_OK(WriteMeasurements(files, "x.session", Session("a"), {One()}));
  ASSERT_OK(WriteMeasurements(files, "x.session", Session("a"), {}));
  EXPECT_FALSE(files.Exists("x.measured"));
}

// Neither read as ours nor replaced.
void ExpectRefused(const std::vector<std::uint8_t>& bytes, ErrorKind kind, const char* why) {
  MemoryFiles files;
  files.Put("x.measured", bytes);
  const auto read = ReadMeasurements(files, "x.session", Session("a"));
  ASSERT_FALSE(read.ok());
  EXPECT_EQ(read.status().kind(), kind) << read.status().message();
  EXPECT_THAT(read.status().message(), HasSubstr(why));
  EXPECT_FALSE(WriteMeasurements(files, "x.session", Session("a"), {One()}).ok());
  const auto text = ReadWholeFile(files, "x.measured");
  ASSERT_OK(text);
  EXPECT_EQ(std::vector<std::uint8_t>(text->begin(), text->end()), bytes);
}

std::vector<std::uint8_t> Stored(const std::string& id) {
  MemoryFiles files;
  EXPECT_OK(WriteMeasurements(files, "x.session", Session(id), {One()}));
  const auto text = ReadWholeFile(files, "x.measured");
  EXPECT_OK(text);
  return {text->begin(), text->end()};
}

TEST(Measurements, WhatIsForeignOrDamagedIsLeftAlone) {
  ExpectRefused({'n', 'o', 't', 'e', 's'}, ErrorKind::kCorrupt,
                "x.measured is no file of measurements");
  ExpectRefused({}, ErrorKind::kCorrupt, "is no file of measurements");
  ExpectRefused(Stored("other"), ErrorKind::kInvalidArgument, "of another session");
  std::vector<std::uint8_t> newer = Stored("a");
  newer[8] = 2;
  ExpectRefused(newer, ErrorKind::kUnsupportedVersion, "a newer Proofdrive");
}

TEST(Measurements, EveryDamagedByteAndEveryCutIsNoticed) {
  const std::vector<std::uint8_t> whole = Stored("a");
  for (std::size_t i = 0; i < whole.size(); ++i) {
    MemoryFiles files;
    std::vector<std::uint8_t> bytes = whole;
    bytes[i] ^= 0x10;
    files.Put("x.measured", bytes);
    EXPECT_FALSE(ReadMeasurements(files, "x.session", Session("a")).ok()) << i;
    files.Put("y.measured", std::vector<std::uint8_t>(
                                whole.begin(), whole.begin() + static_cast<std::ptrdiff_t>(i)));
    EXPECT_FALSE(ReadMeasurements(files, "y.session", Session("a")).ok()) << i;
  }
}

// The bytes are documented: docs/session-format.md.
TEST(Measurements, TheBytesOfTheHead) {
  const std::vector<std::uint8_t> bytes = Stored("a");
  EXPECT_EQ(bytes[0], 0xD7);
  EXPECT_EQ(std::string(bytes.begin() + 1, bytes.begin() + 8), "prfdms\n");
  EXPECT_EQ(bytes[8], 1);
}

}  // namespace
}  // namespace proofdrive::session
