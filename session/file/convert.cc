#include "session/file/convert.h"

#include "session/file/compression.h"

namespace proofdrive::session {
namespace {

constexpr int kDefinitionLevel = 9;

format::Definition ToMessage(const DefinitionText& definition, WithDefinitions with_text) {
  format::Definition message;
  message.set_path(definition.path);
  if (with_text == WithDefinitions::kNo) return message;
  Compressor compressor(kDefinitionLevel);
  const Compressed text = compressor.Compress(AsBytes(definition.text));
  message.set_text_bytes(static_cast<std::uint32_t>(definition.text.size()));
  message.set_codec(static_cast<std::uint32_t>(text.codec));
  message.set_text(text.bytes.data(), text.bytes.size());
  return message;
}

Result<DefinitionText> FromMessage(const format::Definition& message, MemoryBudget& budget) {
  if (message.text_bytes() > kMaxDefinitionBytes) {
    return Status(ErrorKind::kCorrupt, "a stored definition file is absurdly large");
  }
  RETURN_IF_ERROR(budget.Take(message.text_bytes()));
  DefinitionText definition{message.path(), std::string(message.text_bytes(), '\0')};
  if (definition.text.empty()) return definition;
  Decompressor decompressor;
  RETURN_IF_ERROR(decompressor.Decompress(
      static_cast<Codec>(message.codec()), AsBytes(message.text()),
      {reinterpret_cast<std::uint8_t*>(definition.text.data()), definition.text.size()}));
  return definition;
}

}  // namespace

format::Header ToMessage(const Header& header, const FileIdentity& identity,
                         WithDefinitions definitions) {
  format::Header message;
  message.set_incompatible_features(identity.incompatible_features);
  message.set_salt(identity.salt);
  message.set_journal(identity.journal);
  message.set_id(header.id);
  message.set_name(header.name);
  message.set_stage(static_cast<std::uint32_t>(header.stage));
  message.set_vehicle(header.vehicle);
  message.set_notes(header.notes);
  message.set_software(header.software);
  message.set_source(header.source);
  message.set_started_wall_ns(ToNanoseconds(header.started.wall));
  message.set_started_steady_ns(header.started.steady.time_since_epoch().count());
  message.set_boot_id(header.boot_id);
  message.set_resolution_ns(static_cast<std::uint32_t>(header.resolution.count()));
  message.set_recording(header.recording);
  message.set_part(header.part);
  message.set_continued(header.continued);
  for (const Channel& channel : header.channels) *message.add_channels() = ToMessage(channel);
  for (const DefinitionText& definition : header.definitions) {
    *message.add_definitions() = ToMessage(definition, definitions);
  }
  return message;
}

Result<Header> FromMessage(const format::Header& message, MemoryBudget& budget) {
  if (message.resolution_ns() == 0 || message.resolution_ns() > 1'000'000'000) {
    return Status(ErrorKind::kCorrupt, "the resolution of frame times makes no sense");
  }
  Header header;
  header.id = message.id();
  header.name = message.name();
  header.stage = static_cast<Stage>(message.stage() & 0xFF);
  header.vehicle = message.vehicle();
  header.notes = message.notes();
  header.software = message.software();
  header.source = message.source();
  header.started.wall = WallFromNanoseconds(message.started_wall_ns());
  header.started.steady = SteadyTime(Duration(message.started_steady_ns()));
  header.boot_id = message.boot_id();
  header.resolution = Duration(message.resolution_ns());
  header.part = message.part();
  header.recording = message.recording();
  header.continued = message.continued();
  for (const format::Channel& channel : message.channels()) {
    header.channels.push_back(FromMessage(channel));
  }
  for (const format::Definition& definition : message.definitions()) {
    ASSIGN_OR_RETURN(DefinitionText text, FromMessage(definition, budget));
    header.definitions.push_back(std::move(text));
  }
  return header;
}

FileIdentity IdentityOf(const format::Header& message) {
  return {message.salt(), message.incompatible_features(), message.journal()};
}

format::Channel ToMessage(const Channel& channel) {
  format::Channel message;
  message.set_number(channel.number);
  message.set_name(channel.name);
  message.set_bus(channel.bus);
  message.set_bitrate(channel.bitrate);
  message.set_data_bitrate(channel.data_bitrate);
  message.set_flexible_data(channel.flexible_data);
  message.set_timestamps(channel.timestamps);
  return message;
}

Channel FromMessage(const format::Channel& message) {
  return {static_cast<std::uint8_t>(message.number()),
          message.name(),
          message.bus(),
          message.bitrate(),
          message.data_bitrate(),
          message.flexible_data(),
          message.timestamps()};
}

format::Event ToMessage(const Event& event) {
  format::Event message;
  message.set_time_ns(ToNanoseconds(event.time));
  message.set_kind(static_cast<std::uint32_t>(event.kind));
  if (event.channel) message.set_channel(*event.channel);
  message.set_text(event.text);
  message.set_count(event.count);
  message.set_step_ns(event.step.count());
  message.set_data(event.data);
  return message;
}

Event FromMessage(const format::Event& message) {
  Event event;
  event.time = WallFromNanoseconds(message.time_ns());
  event.kind = static_cast<EventKind>(message.kind() & 0xFF);
  if (message.has_channel()) event.channel = static_cast<std::uint8_t>(message.channel());
  event.text = message.text();
  event.count = message.count();
  event.step = Duration(message.step_ns());
  event.data = message.data();
  return event;
}

void SetMessage(const StreamKey& key, format::StreamKey& message) {
  message.set_channel(key.channel);
  message.set_id(key.id);
  message.set_flags(key.flags);
  message.set_length(key.length);
  message.set_raw_dlc(key.raw_dlc);
}

Result<StreamKey> FromMessage(const format::StreamKey& message) {
  if ((message.channel() | message.flags() | message.length() | message.raw_dlc()) > 0xFF) {
    return Status(ErrorKind::kCorrupt, "the key of a stream is out of range");
  }
  Frame frame;
  frame.channel = static_cast<std::uint8_t>(message.channel());
  frame.id = message.id();
  frame.flags = static_cast<std::uint8_t>(message.flags());
  frame.length = static_cast<std::uint8_t>(message.length());
  frame.raw_dlc = static_cast<std::uint8_t>(message.raw_dlc());
  RETURN_IF_ERROR(Validate(frame));
  return KeyOf(frame);
}

std::vector<std::uint8_t> Serialize(const google::protobuf::MessageLite& message) {
  std::vector<std::uint8_t> bytes(message.ByteSizeLong());
  message.SerializeWithCachedSizesToArray(bytes.data());
  return bytes;
}

std::uint64_t MemoryOf(const Event& event) {
  return sizeof(Event) + event.text.size() + event.data.size();
}

Status Parse(ByteSpan bytes, google::protobuf::MessageLite& message, MemoryBudget& budget) {
  RETURN_IF_ERROR(budget.CheckRecord(bytes));
  if (message.ParseFromArray(bytes.data(), static_cast<int>(bytes.size()))) return Status::Ok();
  return Status(ErrorKind::kCorrupt, "a record does not hold the message its type says");
}

}  // namespace proofdrive::session
