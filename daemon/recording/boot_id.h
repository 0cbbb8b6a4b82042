// Which boot of this machine the steady clock of a session belongs to.
#pragma once

#include <string>

namespace proofdrive::daemon {

// As the kernel tells it (Linux random(4)): "01234567-89ab-cdef-0123-456789abcdef". Where a service
// may not read that, PROOFDRIVE_BOOT_ID of its environment, with or without the dashes; empty when
// neither is known.
std::string ReadBootId(const std::string& kernel_file = "/proc/sys/kernel/random/boot_id");

}  // namespace proofdrive::daemon
