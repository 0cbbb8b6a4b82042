// A can-isotp socket of the kernel, for programs of the rig.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/base/result.h"

namespace proofdrive::rig {

struct IsotpSettings {
  std::uint32_t sends = 0;  // identifiers
  std::uint32_t receives = 0;
  bool extended_id = false;
  std::uint8_t separation = 0;  // asked of the other side
  std::uint8_t block_size = 0;
  bool padding = false;
  std::uint8_t frame_bytes = 8;  // over 8: CAN FD
  bool address_byte = false;     // extended addressing with the next two
  std::uint8_t sent_address = 0;
  std::uint8_t received_address = 0;
};

// One thread. Not copyable.
class KernelIsotp {
 public:
  KernelIsotp() = default;
  KernelIsotp(const KernelIsotp&) = delete;
  KernelIsotp& operator=(const KernelIsotp&) = delete;
  ~KernelIsotp();

  Status Open(const std::string& interface, const IsotpSettings& settings);
  Status Write(const std::vector<std::uint8_t>& message);
  // kUnavailable: nothing came within `timeout_ms`.
  Result<std::vector<std::uint8_t>> Read(int timeout_ms);
  int descriptor() const { return descriptor_; }

 private:
  int descriptor_ = -1;
};

}  // namespace proofdrive::rig
