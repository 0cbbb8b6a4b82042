#include "session/file/compression.h"

#include <algorithm>

#include <zstd.h>

namespace proofdrive::session {

struct Compressor::Context {
  explicit Context(int level) {
    ZSTD_CCtx_setParameter(zstd.get(), ZSTD_c_compressionLevel, level);
    // The size is known from the directory, and the blocks have a checksum of their own.
    ZSTD_CCtx_setParameter(zstd.get(), ZSTD_c_contentSizeFlag, 0);
  }
  std::unique_ptr<ZSTD_CCtx, std::size_t (*)(ZSTD_CCtx*)> zstd{ZSTD_createCCtx(), ZSTD_freeCCtx};
  std::vector<std::uint8_t> space;
};

Compressor::Compressor(int level) : context_(std::make_unique<Context>(level)) {}
Compressor::~Compressor() = default;

Compressed Compressor::Compress(ByteSpan bytes) {
  std::vector<std::uint8_t>& space = context_->space;
  space.resize(std::max(space.size(), ZSTD_compressBound(bytes.size())));
  const std::size_t size =
      ZSTD_compress2(context_->zstd.get(), space.data(), space.size(), bytes.data(), bytes.size());
  if (ZSTD_isError(size) || size >= bytes.size()) {
    return {Codec::kNone, {bytes.begin(), bytes.end()}};
  }
  return {Codec::kZstd, {space.begin(), space.begin() + static_cast<std::ptrdiff_t>(size)}};
}

struct Decompressor::Context {
  std::unique_ptr<ZSTD_DCtx, std::size_t (*)(ZSTD_DCtx*)> zstd{ZSTD_createDCtx(), ZSTD_freeDCtx};
};

Decompressor::Decompressor() : context_(std::make_unique<Context>()) {}
Decompressor::~Decompressor() = default;

Status Decompressor::Decompress(Codec codec, ByteSpan bytes, std::span<std::uint8_t> out) {
  if (codec == Codec::kNone && bytes.size() == out.size()) {
    std::copy(bytes.begin(), bytes.end(), out.begin());
    return Status::Ok();
  }
  if (codec != Codec::kZstd) return Status(ErrorKind::kCorrupt, "a block has the wrong size");
  const std::size_t size =
      ZSTD_decompressDCtx(context_->zstd.get(), out.data(), out.size(), bytes.data(), bytes.size());
  if (ZSTD_isError(size)) {
    return Status(ErrorKind::kCorrupt,
                  std::string("a block cannot be decompressed: ") + ZSTD_getErrorName(size));
  }
  if (size != out.size()) return Status(ErrorKind::kCorrupt, "a block has the wrong size");
  return Status::Ok();
}

}  // namespace proofdrive::session
