#include "daemon/recording/boot_id.h"

#include <cstdlib>
#include <fstream>

namespace proofdrive::daemon {
namespace {

constexpr std::size_t kDigits = 32;

std::string WithDashes(std::string id) {
  if (id.size() != kDigits || id.find_first_not_of("0123456789abcdef") != std::string::npos) {
    return id;
  }
  for (const std::size_t at : {8U, 13U, 18U, 23U}) id.insert(at, "-");
  return id;
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
