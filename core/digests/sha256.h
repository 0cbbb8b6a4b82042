// SHA-256 (FIPS 180-4): which file a result was made from.
#pragma once

#include <string>

#include "core/base/bytes.h"
#include "core/base/files.h"
#include "core/base/result.h"

namespace proofdrive {

// 64 hexadecimal digits in lower case.
std::string Sha256(ByteSpan bytes);

// Of a whole file, read piece by piece; errors as Files::Open and ReadFile::Read. A file that grows
// meanwhile is taken with the size it had at first.
Result<std::string> Sha256OfFile(Files& files, const std::string& path);

}  // namespace proofdrive
