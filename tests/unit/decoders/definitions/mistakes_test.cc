// One folder per mistake below mistakes/: the .yaml files are loaded together, in order of their
// names, and expected.txt is what the author is shown, word by word. To add a case, add a folder
// with its .yaml and run this test once with PROOFDRIVE_WRITE_EXPECTED=1; then read what it wrote.
#include <gtest/gtest.h>

#include <algorithm>
#include <filesystem>
#include <fstream>

#include "decoders/language/loader.h"
#include "tests/support/expected_file.h"
#include "tests/support/places.h"

namespace proofdrive::decoders {
namespace {

namespace fs = std::filesystem;

const fs::path kFolder =
    proofdrive::testing::SourcePath("tests/unit/decoders/definitions/mistakes");

std::vector<std::string> Cases() {
  std::vector<std::string> cases;
  for (const auto& entry : fs::directory_iterator(kFolder)) {
    cases.push_back(entry.path().filename().string());
  }
  std::sort(cases.begin(), cases.end());
  return cases;
}

class Mistakes : public ::testing::TestWithParam<std::string> {};

TEST_P(Mistakes, AreShownWordByWord) {
  std::vector<SourceText> sources;
  for (const auto& entry : fs::directory_iterator(kFolder / GetParam())) {
    if (entry.path().extension() != ".yaml") continue;
    sources.push_back({entry.path().filename().string(), testing::ReadText(entry.path())});
  }
  std::sort(sources.begin(), sources.end(),
            [](const SourceText& a, const SourceText& b) { return a.path < b.path; });
  const LoadResult result = LoadDefinitions(sources);
  const std::string shown = FormatDiagnostics(result.diagnostics);
  const fs::path expected = kFolder / GetParam() / "expected.txt";
  if (testing::WritingExpected()) std::ofstream(expected) << shown;
  EXPECT_EQ(shown, testing::ReadText(expected));
  EXPECT_FALSE(result.diagnostics.empty());
  const bool has_error = std::any_of(
      result.diagnostics.begin(), result.diagnostics.end(),
      [](const Diagnostic& diagnostic) { return diagnostic.level == DiagnosticLevel::kError; });
  EXPECT_EQ(result.ok(), !has_error);
}

INSTANTIATE_TEST_SUITE_P(All, Mistakes, ::testing::ValuesIn(Cases()),
                         [](const auto& param_info) { return param_info.param; });

TEST(MistakesFolder, HasManyDistinctMessages) { EXPECT_GE(Cases().size(), 100U); }

}  // namespace
}  // namespace proofdrive::decoders
