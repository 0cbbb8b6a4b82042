#include "core/digests/sha256.h"

#include <openssl/evp.h>

#include <algorithm>
#include <array>
#include <memory>

#include "core/base/text.h"

namespace proofdrive {
namespace {

constexpr std::size_t kPiece = std::size_t{1} << 20;

class Digest {
 public:
  Digest() : context_(EVP_MD_CTX_new(), &EVP_MD_CTX_free) {
    EVP_DigestInit_ex(context_.get(), EVP_sha256(), nullptr);
  }
  void Add(ByteSpan bytes) { EVP_DigestUpdate(context_.get(), bytes.data(), bytes.size()); }
  std::string Finish() {
    std::array<std::uint8_t, 32> digest{};
    EVP_DigestFinal_ex(context_.get(), digest.data(), nullptr);
    std::string text = HexBytes(digest, "");
    std::transform(text.begin(), text.end(), text.begin(), [](unsigned char c) {
      return static_cast<char>(c >= 'A' && c <= 'F' ? c - 'A' + 'a' : c);
    });
    return text;
  }

 private:
  std::unique_ptr<EVP_MD_CTX, decltype(&EVP_MD_CTX_free)> context_;
};

}  // namespace

std::string Sha256(ByteSpan bytes) {
  Digest digest;
  digest.Add(bytes);
  return digest.Finish();
}

Result<std::string> Sha256OfFile(Files& files, const std::string& path) {
  ASSIGN_OR_RETURN(const auto file, files.Open(path));
  ASSIGN_OR_RETURN(const std::uint64_t size, file->Size());
  Digest digest;
  for (std::uint64_t at = 0; at < size;) {
    const auto count = static_cast<std::size_t>(std::min<std::uint64_t>(kPiece, size - at));
    ASSIGN_OR_RETURN(const std::vector<std::uint8_t> bytes, file->Read(at, count));
    if (bytes.empty()) break;
    digest.Add(bytes);
    at += bytes.size();
  }
  return digest.Finish();
}

}  // namespace proofdrive
