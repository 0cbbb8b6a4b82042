// Which requests Proofdrive may send. Read-only ones, and nothing else; clearing codes is a
// permission of its own. Everything that is sent passes here, frame by frame.
#pragma once

#include "core/base/bytes.h"
#include "core/base/result.h"

namespace proofdrive::decoders {

enum class Permission {
  kRead,   // SAE J1979 01, 02, 03, 06, 07, 09, 0A; ISO 14229-1 10 01/03, 3E, 19, 22
  kClear,  // besides: ISO 14229-1 14, SAE J1979 04
};

// kInvalidArgument names the service that may not be sent.
Status CheckRequest(ByteSpan request, Permission permission);

// The data of one frame of ISO 15765-2: a single frame with an allowed request, or a flow control.
// `address_byte`: extended or mixed addressing, a byte comes before N_PCI.
Status CheckRequestFrame(ByteSpan data, bool address_byte, Permission permission);

}  // namespace proofdrive::decoders
