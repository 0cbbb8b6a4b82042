// One compressed run of bytes: zstd, or the bytes as they are when that is no larger.
#pragma once

#include <cstdint>
#include <memory>
#include <vector>

#include "core/base/bytes.h"
#include "core/base/result.h"
#include "session/model/layout.h"

namespace proofdrive::session {

struct Compressed {
  Codec codec = Codec::kNone;
  std::vector<std::uint8_t> bytes;
};

// Reuses its working memory from call to call. One thread at a time.
class Compressor {
 public:
  // zstd level 1..19.
  explicit Compressor(int level);
  ~Compressor();
  Compressed Compress(ByteSpan bytes);

 private:
  struct Context;
  std::unique_ptr<Context> context_;
};

// Reuses its working memory from call to call. One thread at a time.
class Decompressor {
 public:
  Decompressor();
  ~Decompressor();
  // Fills `out` exactly. kCorrupt when `bytes` are not a run of out.size() bytes in that codec.
  Status Decompress(Codec codec, ByteSpan bytes, std::span<std::uint8_t> out);

 private:
  struct Context;
  std::unique_ptr<Context> context_;
};

}  // namespace proofdrive::session
