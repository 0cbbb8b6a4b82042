#include "tests/support/real_frames.h"

#include <algorithm>
#include <cstdio>
#include <sstream>

#include "core/base/text.h"
#include "tests/support/shared_data.h"

namespace proofdrive::testing {
namespace {

std::string Unpacked(const std::string& path) {
  std::string text;
  FILE* pipe = popen(("gzip -dc '" + path + "'").c_str(), "r");
  if (pipe == nullptr) return text;
  char buffer[65536];
  for (std::size_t got = 0; (got = fread(buffer, 1, sizeof(buffer), pipe)) > 0;) {
    text.append(buffer, got);
  }
  pclose(pipe);
  return text;
}

Frame FrameOf(const std::string& row) {
  const std::vector<std::string> cells = Split(Trim(row), ',');
  Frame frame;
  frame.time = ParseWallTime(cells.at(0)).value();
  frame.channel = static_cast<std::uint8_t>(std::stoul(cells.at(1)));
  frame.id = static_cast<std::uint32_t>(std::stoul(cells.at(2), nullptr, 16));
  if (cells.at(3) == "1") frame.flags |= kExtendedId;
  const std::vector<std::uint8_t> data = ParseHexBytes(cells.at(5)).value();
  frame.length = static_cast<std::uint8_t>(data.size());
  std::copy(data.begin(), data.end(), frame.data.begin());
  return frame;
}

}  // namespace

std::optional<std::vector<Frame>> RealFrames(const std::string& dataset, const std::string& file) {
  const auto folder = Dataset(dataset);
  if (!folder) {
    std::printf("SKIPPED: the dataset %s is not there\n", dataset.c_str());
    return std::nullopt;
  }
  std::istringstream lines(Unpacked(*folder + "/" + file));
  std::string line;
  std::getline(lines, line);
  std::vector<Frame> frames;
  while (std::getline(lines, line)) frames.push_back(FrameOf(line));
  return frames;
}

}  // namespace proofdrive::testing
