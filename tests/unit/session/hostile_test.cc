// Records whose checksum is right and whose content makes no sense: made to harm, or by a bug.
#include <gtest/gtest.h>

#include <iostream>
#include <random>

#include "session/chunk/chunk_builder.h"
#include "session/chunk/chunk_decoder.h"
#include "session/chunk/frame_batches.h"
#include "session/file/preamble.h"
#include "session/file/record.h"
#include "session/file/wire.h"
#include "session/reader.h"
#include "session/recovery.h"
#include "session/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

namespace proofdrive::session {
namespace {

using proofdrive::testing::IsError;
using proofdrive::testing::IsOk;
using proofdrive::testing::MemoryFiles;
using Bytes = std::vector<std::uint8_t>;

constexpr const char* kPath = "d/x.session";

Frame FrameNumber(std::size_t i) {
  Frame frame;
  frame.time = WallFromNanoseconds(static_cast<std::int64_t>(i * i) * 1000);
  frame.id = static_cast<std::uint32_t>(0x100 + i % 5);
  frame.length = 8;
  frame.data[i % 7] = static_cast<std::uint8_t>(i);
  for (std::size_t b = 0; b < 7; ++b) frame.data[7] ^= frame.data[b];  // a predicted byte
  return frame;
}

// Turns, inserts, removes or repeats some bytes.
Bytes Mutate(Bytes bytes, std::mt19937_64& random) {
  for (std::uint64_t left = 1 + random() % 4; left > 0; --left) {
    if (bytes.empty()) return bytes;
    const auto at = bytes.begin() + static_cast<std::ptrdiff_t>(random() % bytes.size());
    switch (random() % 4) {
      case 0:
        *at = static_cast<std::uint8_t>(random());
        break;
      case 1:
        *at = static_cast<std::uint8_t>(*at ^ (1U << (random() % 8)));
        break;
      case 2:
        bytes.insert(at, static_cast<std::uint8_t>(random() % 2 == 0 ? 0xFF : random()));
        break;
      default:
        bytes.erase(at);
    }
  }
  return bytes;
}

class Hostile : public ::testing::Test {
 protected:
  Hostile() { std::cout << "seed " << seed_ << "\n"; }
  // Copies the records of a file, one of them mutated and given a good checksum again.
  Bytes Forge(const Bytes& file, std::size_t begin, const Bytes& session) {
    const std::uint32_t salt = ParsePreamble(ByteSpan(session).first(kPreambleBytes))->salt;
    MemoryFiles files;
    files.Put("f", file);
    const auto handle = *files.Open("f");
    FileWindow window(*handle, file.size());
    RecordScanner scanner(window, begin, salt);
    Bytes out(file.begin(), file.begin() + static_cast<std::ptrdiff_t>(begin));
    const std::uint64_t victim = random_() % 6;
    std::uint64_t number = 0;
    for (Record record; *scanner.Next(record); ++number) {
      const Bytes payload(record.payload.begin(), record.payload.end());
      PutRecord(record.type, number == victim ? Mutate(payload, random_) : payload, salt, out);
    }
    return out;
  }

  const std::uint64_t seed_ = std::random_device{}();
  std::mt19937_64 random_{seed_};
};

TEST_F(Hostile, ChunksAreRefusedOrRead) {
  ChunkBuilder builder;
  for (std::size_t i = 0; i < 200; ++i) builder.Add(FrameNumber(i), static_cast<std::int64_t>(i));
  Compressor compressor(3);
  const Bytes payload = builder.Encode(0, compressor);
  ChunkDecoder decoder;
  ChunkFrames frames;
  FrameBatches batches;
  std::size_t read = 0;
  for (int i = 0; i < 20'000; ++i) {
    const Bytes bytes = Mutate(payload, random_);
    const auto parts = SplitChunk(bytes);
    if (!parts.ok()) continue;
    const auto directory =
        ParseDirectory(ByteSpan(bytes).subspan(parts->directory_offset, parts->directory_bytes),
                       parts->blocks_bytes);
    if (!directory.ok()) continue;
    const ByteSpan blocks = ByteSpan(bytes).subspan(parts->blocks_offset);
    if (!decoder.DecodeAll(*directory, blocks, frames).ok()) continue;
    batches.HandOut(frames, [&](std::span<const Frame> some) {
      read += some.size();
      for (const Frame& frame : some) EXPECT_TRUE(Validate(frame).ok()) << "seed " << seed_;
      return true;
    });
  }
  EXPECT_GT(read, 0U);
}

// Every record of a session and its journal is replaced by a mutated one with a good checksum.
TEST_F(Hostile, SessionsAreRefusedOrRead) {
  MemoryFiles whole;
  {
    WriterOptions options;
    options.frames_per_chunk = 20;
    auto writer = Writer::Create(whole, kPath, {}, options);
    ASSERT_OK(writer);
    Event mark;
    mark.text = "mark";
    for (std::size_t i = 0; i < 50; ++i) {
      const Frame frame = FrameNumber(i);
      ASSERT_OK((*writer)->Append({&frame, 1}));
      if (i % 15 == 0) {
        ASSERT_OK((*writer)->AddEvent(mark));
      }
    }
    ASSERT_OK((*writer)->Sync());
  }
  for (int i = 0; i < 3'000; ++i) {
    MemoryFiles files;
    files.Put(kPath, Forge(whole.Contents(kPath), kPreambleBytes, whole.Contents(kPath)));
    files.Put("d/x.journal", Forge(whole.Contents("d/x.journal"), 0, whole.Contents(kPath)));
    const auto report = Verify(files, kPath);
    if (!report.ok()) continue;
    const auto recovered = Recover(files, kPath, "d/y.session");
    if (!recovered.ok()) continue;
    const auto again = Verify(files, "d/y.session");
    ASSERT_OK(again);
    EXPECT_EQ(again->frames, report->frames) << "seed " << seed_;
  }
}

// --- files of some kilobytes that stand for gigabytes ---

constexpr std::uint32_t kSalt = 7;

// The payload of the header record that a writer makes.
Bytes HeaderPayload(const Header& header) {
  MemoryFiles files;
  EXPECT_OK(Writer::Create(files, kPath, header));
  const auto file = *files.Open(kPath);
  FileWindow window(*file, *file->Size());
  const auto record = ReadRecord(window, kPreambleBytes, kHeaderSalt);
  return {record->payload.begin(), record->payload.end()};
}

Bytes SessionOf(const Bytes& header, const Bytes& notes) {
  Bytes file = MakePreamble(kSalt, 0);
  PutRecord(RecordType::kHeader, header, kHeaderSalt, file);
  if (!notes.empty()) PutRecord(RecordType::kNotes, notes, kSalt, file);
  return file;
}

constexpr const char* kTooMuch =
    "d/x.session: its definition files, events and index would take far more memory than a "
    "recording needs; no Proofdrive writes such a session, so it is not read: use a copy of the "
    "file from before it was changed, if there is one";

TEST(HostileMemory, AHundredDefinitionFilesOfZeros) {
  Header header;
  header.definitions.push_back({"zeros.yaml", std::string(kMaxDefinitionBytes, '\0')});
  Bytes payload = HeaderPayload(header);
  Bytes definition;
  constexpr std::uint32_t kDefinitions = 16;  // field of the header
  for (WireReader reader(payload); reader.Next();) {
    if (reader.field() != kDefinitions) {
      reader.Skip();
      continue;
    }
    const ByteSpan bytes = reader.Bytes();
    AppendVarint(TagOf(kDefinitions, WireType::kBytes), definition);
    AppendVarint(bytes.size(), definition);
    definition.insert(definition.end(), bytes.begin(), bytes.end());
  }
  for (int i = 1; i < 100; ++i) {
    payload.insert(payload.end(), definition.begin(), definition.end());
  }
  MemoryFiles files;
  files.Put(kPath, SessionOf(payload, {}));
  ASSERT_GT(files.Contents(kPath).size(), 40'000U);
  ASSERT_LT(files.Contents(kPath).size(), 100'000U);
  EXPECT_THAT(Reader::Open(files, kPath), IsError(ErrorKind::kInvalidArgument, kTooMuch));
  EXPECT_THAT(Verify(files, kPath), IsError(ErrorKind::kInvalidArgument, kTooMuch));
}

TEST(HostileMemory, MillionsOfEmptyEvents) {
  Bytes notes;
  for (int i = 0; i < 3'000'000; ++i) notes.insert(notes.end(), {0x12, 0});  // field 2, no bytes
  MemoryFiles files;
  files.Put(kPath, SessionOf(HeaderPayload({}), notes));
  EXPECT_THAT(Reader::Open(files, kPath), IsError(ErrorKind::kInvalidArgument, kTooMuch));
}

TEST(HostileMemory, WhatCanBeReadCanBeWritten) {
  Header header;
  for (int i = 0; i < 9; ++i) {
    header.definitions.push_back({"zeros.yaml", std::string(kMaxDefinitionBytes, '\0')});
  }
  MemoryFiles files;
  EXPECT_THAT(
      Writer::Create(files, kPath, header),
      IsError(ErrorKind::kInvalidArgument,
              "definition files of more than 128 MiB are too large to be kept in a session"));
  header.definitions.pop_back();
  ASSERT_OK(Writer::Create(files, kPath, header));
  EXPECT_OK(Reader::Open(files, kPath));
}

TEST(HostileMemory, AColumnHasALimit) {
  MemoryFiles files;
  auto writer = Writer::Create(files, kPath, {});
  ASSERT_OK(writer);
  Frame frame = FrameNumber(0);
  for (int i = 0; i < 100; ++i) ASSERT_OK((*writer)->Append({&frame, 1}));
  ASSERT_OK((*writer)->Finish());
  ReaderOptions options;
  options.most_column_bytes = 1600;
  EXPECT_OK((*Reader::Open(files, kPath, options))->ReadStream(KeyOf(frame)));
  options.most_column_bytes = 1599;
  EXPECT_THAT((*Reader::Open(files, kPath, options))->ReadStream(KeyOf(frame)),
              IsError(ErrorKind::kInvalidArgument,
                      "the frames 100 take more than 1,599 bytes of memory: use one part of the "
                      "recording, by its own name"));
}

}  // namespace
}  // namespace proofdrive::session
