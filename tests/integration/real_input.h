// Real recordings kept outside the project, as rows and as captures, for the tests of this folder.
#pragma once

#include <gtest/gtest.h>

#include <cstdio>
#include <memory>
#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "core/base/posix_files.h"
#include "core/base/text.h"
#include "core/frame/frame.h"
#include "session/reader.h"
#include "tests/support/matchers.h"
#include "tests/support/places.h"
#include "tests/support/shared_data.h"
#include "tests/support/temp_dir.h"
#include "tools/shell/command.h"

namespace proofdrive::testing {

// Standard output of a shell command; fails the test when it does not end with 0.
inline std::string OutputOf(const std::string& command) {
  std::string text;
  FILE* pipe = popen(command.c_str(), "r");
  if (pipe == nullptr) {
    ADD_FAILURE() << "cannot run " << command;
    return text;
  }
  char buffer[65536];
  std::size_t got = 0;
  while ((got = fread(buffer, 1, sizeof(buffer), pipe)) > 0) text.append(buffer, got);
  EXPECT_EQ(pclose(pipe), 0) << command;
  return text;
}

inline std::string ScriptPath(const std::string& name) { return SourcePath("tests/data/" + name); }

// "239.164800" as nanoseconds, without floating point.
inline std::int64_t DecimalNanoseconds(const std::string& text) {
  const std::size_t point = text.find('.');
  std::string fraction = point == std::string::npos ? "" : text.substr(point + 1);
  fraction.resize(9, '0');
  return std::stoll(text.substr(0, point)) * 1'000'000'000 + std::stoll(fraction);
}

// The rows of time_s,channel,id_hex,extended,fd,data_hex as frames, Frame::channel as in the file.
inline std::vector<Frame> RowsOf(const std::string& csv_gz) {
  std::istringstream lines(OutputOf("gzip -dc '" + csv_gz + "'"));
  std::string line;
  std::getline(lines, line);
  EXPECT_EQ(std::string(Trim(line)), "time_s,channel,id_hex,extended,fd,data_hex");
  std::vector<Frame> frames;
  while (std::getline(lines, line)) {
    const std::vector<std::string> cells = Split(Trim(line), ',');
    Frame frame;
    frame.time = WallFromNanoseconds(DecimalNanoseconds(cells.at(0)));
    frame.channel = static_cast<std::uint8_t>(std::stoul(cells.at(1)));
    frame.id = static_cast<std::uint32_t>(std::stoul(cells.at(2), nullptr, 16));
    if (cells.at(3) == "1") frame.flags |= kExtendedId;
    if (cells.at(4) == "1") frame.flags |= kFlexibleData;
    const std::vector<std::uint8_t> data = ParseHexBytes(cells.at(5)).value();
    frame.length = static_cast<std::uint8_t>(data.size());
    std::copy(data.begin(), data.end(), frame.data.begin());
    frames.push_back(frame);
  }
  return frames;
}

struct ToolRun {
  int code = -1;
  std::string out;
  std::string err;
};

inline ToolRun RunProofdrive(std::vector<std::string> words) {
  words.insert(words.begin(), "proofdrive");
  std::vector<const char*> argv;
  for (const std::string& word : words) argv.push_back(word.c_str());
  PosixFiles files;
  std::ostringstream out;
  std::ostringstream err;
  tools::Environment environment{files, out, err, false};
  ToolRun run;
  run.code = tools::RunTool(static_cast<int>(argv.size()), argv.data(), environment);
  run.out = out.str();
  run.err = err.str();
  return run;
}

// Converts and imports; returns the document of `import --json`.
inline nlohmann::json ImportRows(const std::string& csv_gz, const std::string& session,
                                 const std::string& more = "") {
  const std::string capture = session + ".pcapng";
  OutputOf("python3 '" + ScriptPath("csv_to_pcapng.py") + "' '" + csv_gz + "' '" + capture + "' " +
           more);
  const ToolRun run = RunProofdrive({"import", capture, "--session", session, "--json"});
  EXPECT_EQ(run.code, 0) << run.err;
  return nlohmann::json::parse(run.out, nullptr, false);
}

// Every frame of a session, Frame::channel as in the rows ("can1" is 1).
inline std::vector<Frame> FramesOf(const std::string& session) {
  PosixFiles files;
  auto reader = session::Reader::Open(files, session);
  EXPECT_OK(reader);
  std::vector<Frame> frames;
  if (!reader.ok()) return frames;
  std::vector<std::uint8_t> row_channel(256, 255);
  for (const session::Channel& channel : (*reader)->header().channels) {
    row_channel[channel.number] = static_cast<std::uint8_t>(std::stoul(channel.name.substr(3)));
  }
  EXPECT_OK((*reader)->ForEachFrame([&](Frame frame) {
    frame.channel = row_channel[frame.channel];
    frames.push_back(frame);
    return true;
  }));
  return frames;
}

}  // namespace proofdrive::testing
