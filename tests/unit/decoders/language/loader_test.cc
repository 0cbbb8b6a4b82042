#include "decoders/language/loader.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <chrono>
#include <filesystem>
#include <fstream>

#include <sys/stat.h>

#include "core/base/posix_files.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"
#include "tests/support/places.h"
#include "tests/support/temp_dir.h"
#include "tests/unit/decoders/test_definitions.h"

namespace proofdrive::decoders {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;
using testing::Load;
using ::testing::SizeIs;

// Everything the language can say, once. An invented car.
const char* kWhole = R"yaml(
vehicle: Bramble Seven (invented)
byte order: big
buses: {pack: {bitrate: 500000}, drive: {bitrate: 500000, data bitrate: 2000000}}
frames:
  pack_status:
    bus: pack
    id: 0x2A1
    every: 100 ms
    length: 8
    signals:
      pack_voltage: {where: bytes 0-1, scale: 0.1, unit: V, range: 0..450, role: pack voltage}
      pack_current: {where: bytes 2-3, signed: yes, scale: 0.1, unit: A, role: pack current, positive: discharge}
      coolant_pump: {where: byte 4 bits 0-2, states: {0: off, 1..2: low, 7: fault}, role: coolant pump}
      inlet_temp: {where: "byte 5 bits 4-7, byte 6", scale: 0.1, offset: -40, unit: degC, absent: [0xFFF, 4094]}
    counter: {where: byte 5 bits 0-3, counts to: 14}
    checksum: {where: byte 7, kind: crc-8-sae-j1850, over: bytes 0-6}
  cell_voltages:
    bus: pack
    id: 0x18DAF110
    extended: yes
    page: {where: byte 0}
    series:
      cell_voltage: {first: byte 2, each: 2 bytes, per page: 3, count: 96, scale: 0.001, unit: V}
    pages: {200: {signals: {balance_active: {where: byte 1 bit 0}}}}
control units:
  pack_controller: {bus: pack, request: 0x7E5, answer: 0x7ED}
readings:
  isolation_resistance: {from: pack_controller, identifier: 0xD1A4, where: bytes 0-1, unit: kohm, every: 2 s}
computed:
  isolation_per_volt: {formula: "isolation_resistance * 1000 / pack_voltage", unit: ohm/V}
  cell_spread: {formula: "max(cell_voltage) - min(cell_voltage)", unit: V}
warnings:
  pump_fault:
    text: Coolant pump has stopped
    when: coolant_pump == fault
    on after: 2 s
    off after: 5 s
    severity: stop
    proven by: {condition: "coolant_pump == low", for: 60 s}
)yaml";

TEST(Loader, ReadsFrames) {
  const auto definitions = Load(kWhole);
  EXPECT_EQ(definitions->vehicle, "Bramble Seven (invented)");
  ASSERT_THAT(definitions->frames, SizeIs(2));
  const FrameDefinition& frame = definitions->frames[0];
  EXPECT_EQ(frame.bus, "pack");
  EXPECT_EQ(frame.id, 0x2A1U);
  EXPECT_EQ(frame.every, std::chrono::milliseconds(100));
  EXPECT_EQ(frame.length, 8);
  EXPECT_EQ(frame.counter->counts_to, 14U);
  EXPECT_EQ(frame.checksum->kind, "crc-8-sae-j1850");
  EXPECT_EQ(frame.checksum->last_byte, 6);
  EXPECT_EQ(frame.place.line, 6U);
  EXPECT_THAT(frame.signals, ElementsAre(0, 1, 2, 3));
  EXPECT_TRUE(definitions->frames[1].extended);
  EXPECT_EQ(definitions->frames[1].page->pieces[0].byte, 0);
}

TEST(Loader, FactsOfSeveralFiles) {
  const std::vector<SourceText> sources = {
      {"a.yaml", "facts: {pack.chemistry: nmc, pack.cells: 96, pack.capacity: 107.0}"},
      {"b.yaml", "facts: {pack.capacity: 107, cooling.pump_index: 0.98}"}};
  const LoadResult result = LoadDefinitions(sources);
  ASSERT_TRUE(result.ok()) << FormatDiagnostics(result.diagnostics);
  std::string facts;
  for (const Fact& fact : result.definitions->facts) facts += fact.name + "=" + fact.value + " ";
  EXPECT_EQ(facts, "pack.chemistry=nmc pack.cells=96 pack.capacity=107 cooling.pump_index=0.98 ");
}

TEST(Loader, ReadsSignals) {
  const auto definitions = Load(kWhole);
  const Signal& voltage = definitions->signals[*definitions->FindSignal("pack_voltage")];
  EXPECT_EQ(voltage.scale, 0.1);
  EXPECT_EQ(voltage.unit, "V");
  EXPECT_EQ(voltage.range->high, 450);
  EXPECT_EQ(voltage.frame, "pack_status");
  const Signal& current = definitions->signals[*definitions->FindSignal("pack_current")];
  EXPECT_EQ(current.encoding, Encoding::kSigned);
  EXPECT_EQ(current.positive, "discharge");
  const Signal& pump = definitions->signals[*definitions->FindSignal("coolant_pump")];
  EXPECT_EQ(pump.StateOf(2), "low");
  EXPECT_EQ(pump.StateOf(3), "");
  const Signal& inlet = definitions->signals[*definitions->FindSignal("inlet_temp")];
  EXPECT_EQ(inlet.location.bits(), 12U);
  EXPECT_EQ(inlet.location.bytes_needed(), 7U);
  EXPECT_THAT(inlet.absent, ElementsAre(0xFFF, 4094));
  EXPECT_THAT(definitions->SignalsWithRole("pack voltage"), ElementsAre(0));
}

TEST(Loader, ReadsSeriesAndPages) {
  const auto definitions = Load(kWhole);
  const Signal& cells = definitions->signals[*definitions->FindSignal("cell_voltage")];
  EXPECT_TRUE(cells.is_series);
  EXPECT_EQ(cells.count, 96U);
  EXPECT_EQ(cells.per_page, 3U);
  EXPECT_EQ(cells.element_stride_bits, 16U);
  ASSERT_THAT(cells.elements, SizeIs(3));
  EXPECT_EQ(cells.location, cells.elements[0]);
  EXPECT_EQ(cells.elements[2].pieces[0].byte, 6);
  EXPECT_EQ(definitions->signals[*definitions->FindSignal("balance_active")].page, 200U);
}

TEST(Loader, ReadsUnitsReadingsAndComputed) {
  const auto definitions = Load(kWhole);
  ASSERT_THAT(definitions->control_units, SizeIs(1));
  EXPECT_EQ(definitions->control_units[0].answer, 0x7EDU);
  ASSERT_THAT(definitions->readings, SizeIs(1));
  EXPECT_EQ(definitions->readings[0].identifier, 0xD1A4);
  EXPECT_EQ(definitions->readings[0].every, std::chrono::seconds(2));
  ASSERT_THAT(definitions->computed, SizeIs(2));
  EXPECT_EQ(definitions->signals[definitions->computed[1].signal].name, "cell_spread");
}

// Files and recordings of earlier versions say `for` and `clear for`.
TEST(Loader, ReadsOlderNamesOfKeys) {
  std::string older = kWhole;
  older.replace(older.find("on after"), 8, "for");
  older.replace(older.find("off after"), 9, "clear for");
  const auto definitions = Load(older);
  ASSERT_THAT(definitions->warnings, SizeIs(1));
  EXPECT_EQ(definitions->warnings[0].set_after, std::chrono::seconds(2));
  EXPECT_EQ(definitions->warnings[0].clear_after, std::chrono::seconds(5));
}

TEST(Loader, ReadsWarnings) {
  const auto definitions = Load(kWhole);
  ASSERT_THAT(definitions->warnings, SizeIs(1));
  const Warning& warning = definitions->warnings[0];
  EXPECT_EQ(warning.text, "Coolant pump has stopped");
  EXPECT_EQ(warning.set_after, std::chrono::seconds(2));
  EXPECT_EQ(warning.clear_after, std::chrono::seconds(5));
  EXPECT_EQ(warning.severity, WarningSeverity::kStop);
  EXPECT_EQ(warning.proven_by->hold, std::chrono::seconds(60));
  EXPECT_EQ(warning.when.text, "coolant_pump == fault");
}

TEST(Loader, NamesNotFoundAreNull) {
  const auto definitions = Load(kWhole);
  EXPECT_FALSE(definitions->FindSignal("nothing"));
  EXPECT_FALSE(definitions->FindFrame("nothing"));
  EXPECT_FALSE(definitions->FindWarning("nothing"));
}

TEST(Loader, FilesMayUseWhatOtherFilesDefine) {
  const std::vector<SourceText> sources = {
      {"warnings.yaml", "warnings: {w: {text: W, severity: note, when: speed > 3}}\n"},
      {"frames.yaml",
       "byte order: little\nframes: {f: {bus: pack, id: 1, signals: "
       "{speed: {where: bytes 0-1}}}}\n"},
      {"buses.yaml", "buses: {pack: {bitrate: 500000}}\n"},
      {"again.yaml", "buses: {pack: {bitrate: 500000}}\n"}};
  const LoadResult result = LoadDefinitions(sources);
  ASSERT_TRUE(result.ok()) << FormatDiagnostics(result.diagnostics);
  EXPECT_THAT(result.definitions->buses, SizeIs(1));
  EXPECT_THAT(result.definitions->files,
              ElementsAre("warnings.yaml", "frames.yaml", "buses.yaml", "again.yaml"));
}

TEST(Loader, ByteOrderBelongsToItsFile) {
  const std::vector<SourceText> sources = {
      {"a.yaml", "byte order: little\nframes: {f: {id: 1, signals: {a: {where: bytes 0-1}}}}\n"},
      {"b.yaml", "byte order: big\nframes: {g: {id: 2, signals: {b: {where: bytes 0-1}}}}\n"}};
  const LoadResult result = LoadDefinitions(sources);
  ASSERT_TRUE(result.ok());
  EXPECT_EQ(result.definitions->signals[0].location.pieces[0].byte, 1);
  EXPECT_EQ(result.definitions->signals[1].location.pieces[0].byte, 0);
}

TEST(Loader, NoSourcesAreNoDefinitions) {
  const LoadResult result = LoadDefinitions({});
  ASSERT_TRUE(result.ok());
  EXPECT_TRUE(result.definitions->frames.empty());
}

TEST(Loader, MistakesOfAllFilesAreReportedTogetherInOrder) {
  const std::vector<SourceText> sources = {{"a.yaml", "frams: {}\n"}, {"b.yaml", "frames: 3\n"}};
  const LoadResult result = LoadDefinitions(sources);
  ASSERT_THAT(result.diagnostics, SizeIs(2));
  EXPECT_EQ(result.diagnostics[0].file, "a.yaml");
  EXPECT_EQ(result.diagnostics[1].file, "b.yaml");
}

TEST(Loader, MissingFileIsAMistakeBesideTheOthers) {
  proofdrive::testing::MemoryFiles files;
  files.Put("bad.yaml", {'x', ':', ' ', '1'});
  const std::vector<std::string> paths = {"missing.yaml", "bad.yaml"};
  const LoadResult result = LoadDefinitionFiles(files, paths);
  EXPECT_FALSE(result.ok());
  ASSERT_THAT(result.diagnostics, SizeIs(2));
  EXPECT_EQ(result.diagnostics[0].file, "missing.yaml");
  EXPECT_EQ(result.diagnostics[0].line, 0U);
  EXPECT_EQ(result.diagnostics[1].message, "unknown key \"x\" in a definition file");
}

void PutText(proofdrive::testing::MemoryFiles& files, const std::string& path,
             const std::string& text) {
  files.Put(path, {text.begin(), text.end()});
}

TEST(Loader, IncludedFilesAreReadOnceAndSeenFromTheirFolder) {
  proofdrive::testing::MemoryFiles files;
  PutText(files, "cars/mine.yaml", "include: [../common/buses.yaml, more.yaml]\n");
  PutText(files, "cars/more.yaml", "include: mine.yaml\nframes: {f: {bus: pack, id: 1}}\n");
  PutText(files, "common/buses.yaml", "buses: {pack: {bitrate: 500000}}\n");
  const std::vector<std::string> paths = {"cars/mine.yaml", "common/buses.yaml"};
  const LoadResult result = LoadDefinitionFiles(files, paths);
  ASSERT_TRUE(result.ok()) << FormatDiagnostics(result.diagnostics);
  EXPECT_THAT(result.definitions->files,
              ElementsAre("cars/mine.yaml", "common/buses.yaml", "cars/more.yaml"));
  const auto sources = ReadSources(files, paths);
  ASSERT_OK(sources);
  EXPECT_TRUE(LoadDefinitions(sources.value()).ok()) << "stored texts load the same";
}

TEST(Loader, MissingIncludeIsReportedWhereItStands) {
  proofdrive::testing::MemoryFiles files;
  PutText(files, "mine.yaml", "include: comon.yaml\n");
  const std::vector<std::string> paths = {"mine.yaml"};
  EXPECT_EQ(FormatDiagnostics(LoadDefinitionFiles(files, paths).diagnostics),
            "mine.yaml:1:10: error: the included file comon.yaml was not found\n"
            "  include: comon.yaml\n"
            "           ^\n"
            "  hint: its name is seen from the folder of the file that includes it; symbolic links "
            "are not followed\n");
}

TEST(Loader, FilesElsewhereAreNotShown) {
  proofdrive::testing::MemoryFiles files;
  PutText(files, "cars/mine.yaml", "include: [/etc/secrets, ../other/a.yaml, ./sub/../b.yaml]\n");
  PutText(files, "/etc/secrets", "root:secret\n");
  PutText(files, "other/a.yaml", "secret\n");
  PutText(files, "cars/b.yaml", "vehicle: test\n");
  const std::vector<std::string> paths = {"cars/mine.yaml"};
  const std::string hint =
      "  hint: it is not read because it lies outside of the folder of this file; if that is "
      "meant, "
      "name it too wherever you name this file\n";
  const std::string line = "  include: [/etc/secrets, ../other/a.yaml, ./sub/../b.yaml]\n";
  EXPECT_EQ(FormatDiagnostics(LoadDefinitionFiles(files, paths).diagnostics),
            "cars/mine.yaml:1:11: error: the included file /etc/secrets is not used\n" + line +
                "            ^\n" + hint +
                "cars/mine.yaml:1:25: error: the included file other/a.yaml is not used\n" + line +
                "                          ^\n" + hint);
  EXPECT_THAT(*ReadSources(files, paths), SizeIs(2));
}

TEST(Loader, AnIncludedPipeIsAMistakeAndWaitsForNothing) {
  proofdrive::testing::TempDir folder;
  ASSERT_EQ(::mkfifo(folder.File("pipe.yaml").c_str(), 0600), 0);
  std::ofstream(folder.File("mine.yaml")) << "include: pipe.yaml\n";
  PosixFiles files;
  const std::vector<std::string> paths = {folder.File("mine.yaml")};
  const LoadResult result = LoadDefinitionFiles(files, paths);
  ASSERT_FALSE(result.diagnostics.empty());
  EXPECT_THAT(result.diagnostics[0].message,
              HasSubstr("it is a device, a pipe or a socket, not a file"));
}

TEST(Loader, LinksToOtherPlacesAreNotFollowed) {
  proofdrive::testing::TempDir elsewhere, folder;
  std::ofstream(elsewhere.File("secret.yaml")) << "root:secret\n";
  std::filesystem::create_symlink(elsewhere.File("secret.yaml"), folder.File("link.yaml"));
  std::filesystem::create_directory_symlink(elsewhere.path(), folder.File("sub"));
  std::ofstream(folder.File("mine.yaml")) << "include: [link.yaml, sub/secret.yaml]\n";
  PosixFiles files;
  const std::vector<std::string> paths = {folder.File("mine.yaml")};
  const LoadResult result = LoadDefinitionFiles(files, paths);
  ASSERT_THAT(result.diagnostics, SizeIs(2));
  EXPECT_THAT(FormatDiagnostics(result.diagnostics), ::testing::Not(HasSubstr("root")));
  EXPECT_THAT(*ReadSources(files, paths), SizeIs(1));
}

TEST(Loader, HugeFilesAreNotRead) {
  proofdrive::testing::MemoryFiles files;
  files.Put("huge.yaml", std::vector<std::uint8_t>((std::size_t{8} << 20) + 1, ' '));
  const std::vector<std::string> paths = {"huge.yaml"};
  const LoadResult result = LoadDefinitionFiles(files, paths);
  ASSERT_THAT(result.diagnostics, SizeIs(1));
  EXPECT_EQ(result.diagnostics[0].message,
            "cannot be read: huge.yaml is larger than 8388608 bytes");
}

TEST(Loader, OneLongLineIsCutAroundEachMistake) {
  std::string text = "{";
  for (int i = 0; i < 40'000; ++i) text += "k" + std::to_string(10'000 + i) + ": 1, ";
  const std::vector<SourceText> sources = {{"car.yaml", text + "}\n"}};
  const LoadResult result = LoadDefinitions(sources);
  ASSERT_THAT(result.diagnostics, SizeIs(500));
  EXPECT_LT(FormatDiagnostics(result.diagnostics).size(), 500U * 1000U);
  const Diagnostic& last = result.diagnostics.back();
  ASSERT_GT(last.caret, 0U);
  EXPECT_EQ(last.source.substr(last.caret - 1, 9), "k10499: 1");
  EXPECT_TRUE(last.source.starts_with("...") && last.source.ends_with("..."));
}

// Within a second or two, however many names there are to be confused.
TEST(Loader, ThousandsOfSlipsOfThePenEnd) {
  std::string text =
      "buses: {pack: {bitrate: 500000}}\nframes:\n  f:\n    bus: pack\n    id: 1\n"
      "    length: 8\n    signals:\n";
  std::string computed = "computed:\n";
  for (int i = 0; i < 4'000; ++i) {
    const std::string number = std::to_string(i);
    text += "      signal_name_" + number + "_long: {at: byte 0, unit: V}\n";
    computed += "  c" + number + ": {formula: signl_name_" + number + "_lonng + 1}\n";
  }
  const std::vector<SourceText> sources = {{"car.yaml", text + computed}};
  const auto before = std::chrono::steady_clock::now();
  EXPECT_THAT(LoadDefinitions(sources).diagnostics, SizeIs(500));
  EXPECT_LT(std::chrono::steady_clock::now() - before, std::chrono::seconds(30));
}

TEST(Loader, SourcesAreReadAsTheyAre) {
  proofdrive::testing::MemoryFiles files;
  files.Put("a.yaml", {'a', ':', '\r', '\n'});
  const std::vector<std::string> paths = {"a.yaml"};
  const auto sources = ReadSources(files, paths);
  ASSERT_OK(sources);
  EXPECT_EQ(sources.value()[0].text, "a:\r\n");
  const std::vector<std::string> missing = {"b.yaml"};
  EXPECT_EQ(ReadSources(files, missing).status().kind(), ErrorKind::kNotFound);
}

TEST(Loader, AnyBytesAreOnlyMistakes) {
  for (const std::string& text :
       {std::string("\0\xFF\xFE", 3), std::string(1000, '['), std::string(1000, '{'),
        std::string("- - - - -"), std::string("%YAML 9.9\n---\n"), std::string("? ? ? a"),
        std::string("\xEF\xBB\xBF"), std::string("a: \x01")}) {
    const std::vector<SourceText> sources = {{"noise.yaml", text}};
    const LoadResult result = LoadDefinitions(sources);
    EXPECT_FALSE(result.ok());
    EXPECT_FALSE(result.diagnostics.empty());
  }
}

TEST(Loader, ManyMistakesAreCutOff) {
  std::string text = "frames:\n";
  for (int i = 0; i < 2000; ++i) text += "  f" + std::to_string(i) + ": {idd: 1}\n";
  const std::vector<SourceText> sources = {{"car.yaml", text}};
  EXPECT_THAT(LoadDefinitions(sources).diagnostics, SizeIs(500));
}

TEST(Loader, ShippedBenchDefinitionsHaveNoMistakes) {
  PosixFiles files;
  const std::vector<std::string> paths = {
      proofdrive::testing::SourcePath("decoders/library/bramble-seven.yaml")};
  const LoadResult result = LoadDefinitionFiles(files, paths);
  EXPECT_EQ(FormatDiagnostics(result.diagnostics), "");
  ASSERT_TRUE(result.ok());
  EXPECT_NE(result.definitions->vehicle.find("(invented)"), std::string::npos);
}

TEST(Diagnostics, CaretCountsCharactersNotBytes) {
  Diagnostic diagnostic;
  diagnostic.file = "car.yaml";
  diagnostic.line = 3;
  diagnostic.column = 6;  // after four bytes of two characters, and a tab
  diagnostic.message = "m";
  diagnostic.source = "\xC3\xBC\xC3\xBC\tx";
  EXPECT_EQ(FormatDiagnostic(diagnostic),
            "car.yaml:3:6: error: m\n  \xC3\xBC\xC3\xBC\tx\n    \t^\n");
}

TEST(Diagnostics, WarningsSaySo) {
  Diagnostic diagnostic;
  diagnostic.level = DiagnosticLevel::kWarning;
  diagnostic.file = "car.yaml";
  diagnostic.message = "m";
  diagnostic.hint = "h";
  EXPECT_EQ(FormatDiagnostic(diagnostic), "car.yaml: warning: m\n  hint: h\n");
}

}  // namespace
}  // namespace proofdrive::decoders
