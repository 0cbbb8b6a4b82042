// Commands run on recordings written as text; everything they print is compared exactly.
// README.md says how a case is made and how expected.txt is written again.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>
#include <sstream>

#include "core/base/text.h"
#include "tests/support/expected_file.h"
#include "tests/support/memory_files.h"
#include "tests/support/places.h"
#include "tests/support/session_script.h"
#include "tools/shell/command.h"

namespace proofdrive {
namespace {

namespace fs = std::filesystem;

const fs::path kCases = testing::SourcePath("tests/golden/cases");

std::vector<std::string> AllCases() {
  std::vector<std::string> cases;
  for (const auto& entry : fs::recursive_directory_iterator(kCases)) {
    if (entry.path().filename() != "command.txt") continue;
    cases.push_back(fs::relative(entry.path().parent_path(), kCases).string());
  }
  std::sort(cases.begin(), cases.end());
  return cases;
}

std::vector<std::uint8_t> Bytes(const std::string& text) { return {text.begin(), text.end()}; }

// Every file of the case: definition files as they are, NAME.frames as NAME.session.
void PrepareFiles(const fs::path& folder, testing::MemoryFiles& files) {
  std::vector<fs::path> paths;
  for (const auto& entry : fs::directory_iterator(folder)) paths.push_back(entry.path());
  std::sort(paths.begin(), paths.end());
  for (const fs::path& path : paths) {
    if (path.extension() == ".yaml" || path.extension() == ".txt") {
      files.Put(path.filename().string(), Bytes(testing::ReadText(path)));
    }
  }
  for (const fs::path& path : paths) {
    if (path.extension() != ".frames") continue;
    const Status status =
        testing::WriteSession(files, path.stem().string() + ".session", testing::ReadText(path));
    ASSERT_TRUE(status.ok()) << path.filename() << ": " << status.message();
  }
}

std::string RunOne(const std::string& line, Files& files) {
  std::istringstream words("proofdrive " + line);
  std::vector<std::string> arguments;
  for (std::string word; words >> word;) arguments.push_back(word);
  std::vector<const char*> argv;
  for (const std::string& argument : arguments) argv.push_back(argument.c_str());
  std::ostringstream out, err;
  tools::Environment environment{files, out, err};
  const int code = tools::RunTool(static_cast<int>(argv.size()), argv.data(), environment);
  return "$ proofdrive " + line + "\n" + out.str() + (err.str().empty() ? "" : "--- messages\n") +
         err.str() + "--- exit " + std::to_string(code) + "\n";
}

// Long rows of numbers as their first and last ones and their number.
std::string ShortenLists(const std::string& text) {
  constexpr std::size_t kLong = 200, kEnds = 40;  // characters
  std::string out;
  std::size_t at = 0;
  for (std::size_t open; (open = text.find("\":[", at)) != std::string::npos;) {
    open += 3;
    const std::size_t close = text.find_first_of("]\"[{", open);
    out += text.substr(at, open - at);
    at = open;
    if (close == std::string::npos || text[close] != ']' || close - open < kLong) continue;
    const std::string list = text.substr(open, close - open);
    const std::size_t first = list.find(',', kEnds), last = list.rfind(',', list.size() - kEnds);
    out += list.substr(0, first) + ", ... " +
           std::to_string(std::count(list.begin(), list.end(), ',') + 1) + " in all ... " +
           list.substr(last);
    at = close;
  }
  return out + text.substr(at);
}

// A report without the files compiled into every one, and without what the compressor decides.
std::string Essence(std::string html) {
  for (const std::string tag : {"style", "script"}) {
    const std::string open = "<" + tag + ">", close = "</" + tag + ">";
    for (std::size_t at = 0; (at = html.find(open, at)) != std::string::npos; ++at) {
      html.replace(at, html.find(close, at) - at, open);
    }
  }
  for (const std::string row : {"SHA-256 of the file</td>", "size</td>"}) {
    for (std::size_t at = 0; (at = html.find(row, at)) != std::string::npos;) {
      at += row.size();
      html.replace(at, html.find("</tr>", at) - at, "...");
    }
  }
  return ShortenLists(html);
}

class Golden : public ::testing::TestWithParam<std::string> {};

TEST_P(Golden, PrintsWhatIsExpected) {
  const fs::path folder = kCases / GetParam();
  testing::MemoryFiles files;
  ASSERT_NO_FATAL_FAILURE(PrepareFiles(folder, files));
  std::string actual;
  for (const std::string& line : Split(testing::ReadText(folder / "command.txt"), '\n')) {
    if (!Trim(line).empty()) actual += RunOne(line, files) + "\n";
  }
  const auto expect = [&](const std::string& text, const fs::path& path) {
    if (testing::WritingExpected()) {
      std::ofstream(path, std::ios::binary) << text;
    }
    EXPECT_EQ(text, testing::ReadText(path));
  };
  expect(actual, folder / "expected.txt");
  const std::vector<std::string> names = *files.List(".");
  for (const std::string& name : names) {
    const bool html = name.ends_with(".html");
    if (!html && !name.ends_with(".json")) continue;
    const std::string text = *ReadWholeFile(files, name);
    expect(html ? Essence(text) : text, folder / ("expected-" + name));
  }
}

std::string TestName(const ::testing::TestParamInfo<std::string>& info) {
  std::string name = info.param;
  for (char& c : name) {
    if (!std::isalnum(static_cast<unsigned char>(c))) c = '_';
  }
  return name;
}

INSTANTIATE_TEST_SUITE_P(Case, Golden, ::testing::ValuesIn(AllCases()), TestName);

// The rule of wording: results say what was seen, never that something is harmless.
TEST(GoldenCases, NeverSaySafe) {
  int lines = 0;
  for (const std::string& name : AllCases()) {
    std::istringstream text(testing::ReadText(kCases / name / "expected.txt"));
    for (std::string line; std::getline(text, line); ++lines) {
      std::transform(line.begin(), line.end(), line.begin(),
                     [](unsigned char c) { return static_cast<char>(std::tolower(c)); });
      EXPECT_EQ(line.find("safe"), std::string::npos) << name << ": " << line;
    }
  }
  EXPECT_GT(lines, 50);
}

// Nothing a person reads on standard output is wider than the page. Messages and JSON may be.
TEST(GoldenCases, TextOfCompareAndOfLintAgainstFitsThePage) {
  for (const std::string& name : AllCases()) {
    if (!name.starts_with("compare/") && !name.starts_with("lint/against-")) continue;
    std::istringstream text(testing::ReadText(kCases / name / "expected.txt"));
    bool page = true;
    for (std::string line; std::getline(text, line);) {
      if (line.starts_with("--- ") || line == "{") page = false;
      if (line.starts_with("$ ")) page = true;
      if (page) {
        EXPECT_LE(line.size(), 100U) << name << ": " << line;
      }
    }
  }
}

}  // namespace
}  // namespace proofdrive
