// Where test input that is not part of the project may be found.
#pragma once

#include <cstdlib>
#include <filesystem>
#include <optional>
#include <string>

#include "tests/support/places.h"

namespace proofdrive::testing {

// The folder `name` of real recordings: below $PROOFDRIVE_DATASETS, or ../shared/datasets beside
// the repository. nullopt when it is not there: such tests say GTEST_SKIP() with this reason.
inline std::optional<std::string> Dataset(const std::string& name) {
  const char* set = std::getenv("PROOFDRIVE_DATASETS");
  const std::filesystem::path root =
      set != nullptr ? std::filesystem::path(set)
                     : std::filesystem::path(SourcePath("")) / ".." / "shared" / "datasets";
  const std::filesystem::path path = root / name;
  if (!std::filesystem::exists(path)) return std::nullopt;
  return path.string();
}

// The file `name` of reference values made elsewhere: below $PROOFDRIVE_REFERENCES, or in the
// folder `references` beside that of the datasets. nullopt when it is not there.
inline std::optional<std::string> Reference(const std::string& name) {
  const char* set = std::getenv("PROOFDRIVE_REFERENCES");
  const std::filesystem::path root =
      set != nullptr ? std::filesystem::path(set)
                     : std::filesystem::path(SourcePath("")) / ".." / "shared" / "references";
  const std::filesystem::path path = root / name;
  if (!std::filesystem::exists(path)) return std::nullopt;
  return path.string();
}

}  // namespace proofdrive::testing
