#include "decoders/services/allowed.h"

#include <algorithm>
#include <string>

#include "decoders/services/service_names.h"
#include "decoders/transport/pdu.h"

namespace proofdrive::decoders {
namespace {

constexpr std::uint8_t kReadable[] = {
    0x01, 0x02, 0x03, 0x06, 0x07, 0x09, 0x0A, kTesterPresent, kCodeInformation, kReadByIdentifier};
constexpr std::uint8_t kDefaultSession = 0x01;
constexpr std::uint8_t kExtendedSession = 0x03;
constexpr std::uint8_t kClearObd = 0x04;

bool MayRead(ByteSpan request) {
  const std::uint8_t service = request[0];
  if (service == kSessionControl) {
    const std::uint8_t session = request.size() == 2 ? request[1] & 0x7F : 0;
    return session == kDefaultSession || session == kExtendedSession;
  }
  return std::find(std::begin(kReadable), std::end(kReadable), service) != std::end(kReadable);
}

bool MayClear(ByteSpan request) {
  return request[0] == kClearInformation || request[0] == kClearObd;
}

}  // namespace

Status CheckRequest(ByteSpan request, Permission permission) {
  if (!request.empty() && MayRead(request)) return Status::Ok();
  if (!request.empty() && permission == Permission::kClear && MayClear(request)) {
    return Status::Ok();
  }
  return Status(ErrorKind::kInvalidArgument,
                "\"" + DescribeRequest(request) + "\" is not among the requests that may be sent");
}

Status CheckRequestFrame(ByteSpan data, bool address_byte, Permission permission) {
  const auto pdu = ParsePdu(data, address_byte);
  if (pdu && pdu->kind == PduKind::kFlowControl) return Status::Ok();
  if (pdu && pdu->kind == PduKind::kSingle) return CheckRequest(pdu->payload, permission);
  return Status(ErrorKind::kInvalidArgument, "only whole requests of one frame may be sent");
}

}  // namespace proofdrive::decoders
