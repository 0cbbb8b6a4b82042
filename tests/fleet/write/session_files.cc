#include "tests/fleet/write/session_files.h"

#include "session/writer.h"
#include "tests/fleet/physics/life.h"
#include "tests/fleet/sensors/sent.h"
#include "tests/fleet/write/frames.h"

namespace proofdrive::fleet {
namespace {

constexpr std::int64_t kStart = 1'764'000'000'000'000'000;  // ns; an arbitrary day

Status WriteText(Files& files, const std::string& path, const std::string& text) {
  ASSIGN_OR_RETURN(auto file, files.Create(path));
  RETURN_IF_ERROR(file->Append(AsBytes(text)));
  return file->Sync();
}

}  // namespace

Status WriteCar(Files& files, const std::string& folder, const Car& car) {
  const std::string base = folder + "/car-" + std::to_string(car.seed);
  const Sent sent = Send(car, Live(car));
  RETURN_IF_ERROR(WriteText(files, base + ".yaml", DefinitionText(car, sent)));
  session::Header header;
  header.name = "car-" + std::to_string(car.seed);
  header.software = "proofdrive tests";
  header.source = "test";
  header.started.wall = WallFromNanoseconds(kStart);
  session::Channel channel;
  channel.name = "can0";
  channel.bus = "car";
  channel.bitrate = 500000;
  channel.timestamps = "simulated";
  header.channels.push_back(channel);
  session::WriterOptions options;
  options.journal = false;
  ASSIGN_OR_RETURN(auto writer, session::Writer::Create(files, base + ".session", header, options));
  RETURN_IF_ERROR(writer->Append(FramesOf(sent, header.started.wall)));
  return writer->Finish();
}

}  // namespace proofdrive::fleet
