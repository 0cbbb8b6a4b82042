// Makes session files from the text form of frame_script.h. For test programs that link session.
#pragma once

#include <string>

#include "core/base/files.h"
#include "session/writer.h"
#include "tests/support/frame_script.h"

namespace proofdrive::testing {

// Writes `path` from `text`. Definition files the text names are read through `files`. The id of
// the session is made from its name, so that it is the same every time.
inline Status WriteSession(Files& files, const std::string& path, const std::string& text) {
  ASSIGN_OR_RETURN(const FrameScript script, ParseFrameScript(text));
  session::Header header;
  header.name = script.name;
  header.id = std::string(32, '0');
  for (std::size_t i = 0; i < script.name.size(); ++i) {
    header.id[i % 32] = "0123456789abcdef"[static_cast<unsigned char>(script.name[i]) % 16];
  }
  if (!script.stage.empty()) {
    ASSIGN_OR_RETURN(header.stage, session::ParseStage(script.stage));
  }
  header.source = "test";
  header.software = "proofdrive tests";
  header.started.wall = script.start;
  for (const auto& [number, bus] : script.channels) {
    session::Channel channel;
    channel.number = number;
    channel.name = "can" + std::to_string(number);
    channel.bus = bus;
    header.channels.push_back(channel);
  }
  for (const std::string& file : script.definitions) {
    ASSIGN_OR_RETURN(const std::string definitions, ReadWholeFile(files, file));
    header.definitions.push_back({file, definitions});
  }
  ASSIGN_OR_RETURN(auto writer, session::Writer::Create(files, path, header));
  RETURN_IF_ERROR(writer->Append(script.frames));
  return writer->Finish();
}

}  // namespace proofdrive::testing
