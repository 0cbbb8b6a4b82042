#include "daemon/recording/boot_id.h"

#include <cstdlib>
#include <fstream>

namespace proofdrive::daemon {
namespace {

constexpr std::size_t kDigits = 32;

std::string WithDashes(const std::string& id) {
  if (id.size() != kDigits || id.find_first_not_of("0123456789abcdef") != std::string::npos) {
    return id;
  }
  std::string text;
  for (std::size_t i = 0; i < kDigits; ++i) {
    if (i == 8 || i == 12 || i == 16 || i == 20) text += '-';
    text += id[i];
  }
  return text;
}

}  // namespace

std::string ReadBootId(const std::string& kernel_file) {
  std::ifstream file(kernel_file);
  std::string id;
  if (std::getline(file, id)) return id;
  const char* given = std::getenv("PROOFDRIVE_BOOT_ID");
  return given == nullptr ? "" : WithDashes(given);
}

}  // namespace proofdrive::daemon
