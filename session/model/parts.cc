#include "session/model/parts.h"

#include <algorithm>
#include <cstdio>
#include <string_view>

#include "session/model/names.h"

namespace proofdrive::session {
namespace {

constexpr std::string_view kPart = ".part-";
constexpr std::size_t kLeastDigits = 4;
constexpr std::size_t kMostDigits = 9;

// Where ".part-NNNN" begins in a path without its ending; npos: it has none.
std::size_t FindNumber(std::string_view stem) {
  const std::size_t at = stem.rfind(kPart);
  if (at == std::string_view::npos || at == 0) return std::string_view::npos;
  const std::string_view digits = stem.substr(at + kPart.size());
  const bool number = digits.size() >= kLeastDigits && digits.size() <= kMostDigits &&
                      digits.find_first_not_of("0123456789") == std::string_view::npos;
  return number ? at : std::string_view::npos;
}

// The later parts that lie beside `first`.
std::vector<PartFile> LaterParts(Files& files, const std::string& first) {
  std::vector<PartFile> parts;
  const auto names = files.List(DirectoryOf(first));
  if (!names.ok()) return parts;
  const std::string name_of_first = FileNameOf(first);
  const std::string folder = first.substr(0, first.size() - name_of_first.size());
  for (const std::string& name : *names) {
    const bool belongs = name.ends_with(kSessionEnding) && FirstPartPath(name) == name_of_first;
    if (belongs && PartNumberOf(name) > 1) parts.push_back({folder + name, PartNumberOf(name)});
  }
  std::sort(parts.begin(), parts.end(),
            [](const PartFile& a, const PartFile& b) { return a.number < b.number; });
  return parts;
}

}  // namespace

std::string PartPath(const std::string& first_part, std::uint32_t number) {
  if (number <= 1) return first_part;
  char digits[16];
  std::snprintf(digits, sizeof(digits), "%04u", number);
  return WithoutSessionEnding(first_part) + std::string(kPart) + digits +
         std::string(kSessionEnding);
}

std::string FirstPartPath(const std::string& path) {
  const std::string stem = WithoutSessionEnding(path);
  const std::size_t at = stem == path ? std::string::npos : FindNumber(stem);
  return at == std::string::npos ? path : stem.substr(0, at) + std::string(kSessionEnding);
}

std::uint32_t PartNumberOf(const std::string& path) {
  const std::string stem = WithoutSessionEnding(path);
  const std::size_t at = stem == path ? std::string::npos : FindNumber(stem);
  if (at == std::string::npos) return 1;
  const std::uint64_t number = std::stoull(stem.substr(at + kPart.size()));
  return static_cast<std::uint32_t>(std::max<std::uint64_t>(1, number));
}

std::string PartName(const PartFile& part) {
  return "part " + std::to_string(part.number) + " (" + FileNameOf(part.path) + ")";
}

Result<std::vector<PartFile>> FindParts(Files& files, const std::string& path) {
  const bool here = files.Exists(path);
  if (here && FirstPartPath(path) != path) {
    return std::vector<PartFile>{{path, PartNumberOf(path)}};
  }
  const std::string first =
      here || path.ends_with(kSessionEnding) ? path : path + std::string(kSessionEnding);
  std::vector<PartFile> parts;
  if (files.Exists(first)) parts.push_back({first, 1});
  const std::vector<PartFile> later = LaterParts(files, first);
  parts.insert(parts.end(), later.begin(), later.end());
  if (!parts.empty()) return parts;
  return Status(ErrorKind::kNotFound,
                path + ": there is no such file; give the path of a .session file");
}

}  // namespace proofdrive::session
