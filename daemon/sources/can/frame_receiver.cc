#include "daemon/sources/can/frame_receiver.h"

#include <linux/can.h>
#include <linux/errqueue.h>
#include <poll.h>
#include <sys/uio.h>
#include <time.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>
#include <string>

#include "daemon/sources/can/hardware_clock.h"

namespace proofdrive::daemon {
namespace {

constexpr std::size_t kBatch = 128;
constexpr std::size_t kControlBytes = 256;  // room for both kinds of stamp and the drop counter

std::uint8_t FlagsOf(const canfd_frame& raw, bool fd, int message_flags) {
  unsigned flags = 0;
  if (raw.can_id & CAN_EFF_FLAG) flags |= kExtendedId;
  if (raw.can_id & CAN_RTR_FLAG) flags |= kRemote;
  if (raw.can_id & CAN_ERR_FLAG) flags = kErrorMessage;
  if (fd) flags |= kFlexibleData;
  if (fd && (raw.flags & CANFD_BRS)) flags |= kBitRateSwitch;
  if (fd && (raw.flags & CANFD_ESI)) flags |= kErrorState;
  // Frames of this machine, of another program or of this very socket (Linux networking/can.rst).
  if (message_flags & (MSG_DONTROUTE | MSG_CONFIRM)) flags |= kSentHere;
  return static_cast<std::uint8_t>(flags);
}

std::uint32_t IdOf(std::uint32_t can_id) {
  if (can_id & CAN_ERR_FLAG) return can_id & CAN_ERR_MASK;
  return can_id & ((can_id & CAN_EFF_FLAG) ? CAN_EFF_MASK : CAN_SFF_MASK);
}

Status ErrorOfErrno(int error) {
  if (error == ENETDOWN) return Status(ErrorKind::kUnavailable, "the interface is down");
  if (error == ENODEV || error == ENXIO) {
    return Status(ErrorKind::kNotFound, "the interface is gone");
  }
  return Status::FromErrno(error, "receive frames");
}

// The memory recvmmsg writes to; one message per frame.
class MessageBuffers {
 public:
  MessageBuffers() {
    for (std::size_t i = 0; i < kBatch; ++i) {
      vectors_[i] = {&data_[i], sizeof(data_[i])};
      messages_[i].msg_hdr = {};
      messages_[i].msg_hdr.msg_iov = &vectors_[i];
      messages_[i].msg_hdr.msg_iovlen = 1;
    }
  }
  // The kernel shortens these fields to what it wrote.
  void Reset() {
    for (std::size_t i = 0; i < kBatch; ++i) {
      messages_[i].msg_hdr.msg_control = control_[i].data();
      messages_[i].msg_hdr.msg_controllen = kControlBytes;
      messages_[i].msg_hdr.msg_flags = 0;
      messages_[i].msg_len = 0;
    }
  }
  mmsghdr* messages() { return messages_.data(); }
  mmsghdr& message(std::size_t i) { return messages_[i]; }
  ByteSpan bytes(std::size_t i) const {
    return {data_[i].data(), std::min<std::size_t>(messages_[i].msg_len, CANFD_MTU)};
  }

 private:
  struct alignas(cmsghdr) Control : std::array<std::uint8_t, kControlBytes> {};
  std::array<std::array<std::uint8_t, CANFD_MTU>, kBatch> data_;
  std::array<Control, kBatch> control_;
  std::array<iovec, kBatch> vectors_;
  std::array<mmsghdr, kBatch> messages_;
};

class FrameReceiver : public FramePort {
 public:
  FrameReceiver(int descriptor, std::uint8_t channel, const Clock& clock)
      : descriptor_(descriptor),
        channel_(channel),
        clock_(clock),
        buffers_(std::make_unique<MessageBuffers>()) {}
  ~FrameReceiver() override { ::close(descriptor_); }

  Result<ReceiveReport> Receive(std::vector<Frame>& frames, Duration timeout) override {
    pollfd waiter{descriptor_, POLLIN, 0};
    const auto ms = std::chrono::duration_cast<std::chrono::milliseconds>(timeout).count();
    const int ready = ::poll(&waiter, 1, static_cast<int>(ms));
    if (ready < 0 && errno != EINTR) return Status::FromErrno(errno, "wait for frames");
    if (ready <= 0) return ReceiveReport{};
    return TakeBatch(frames);
  }

 private:
  Result<ReceiveReport> TakeBatch(std::vector<Frame>& frames) {
    buffers_->Reset();
    // Without a timeout of its own: that one is looked at only after a datagram (recvmmsg(2),
    // BUGS).
    const int count = ::recvmmsg(descriptor_, buffers_->messages(), kBatch, MSG_DONTWAIT, nullptr);
    if (count < 0) {
      if (errno == EAGAIN || errno == EINTR) return ReceiveReport{};
      return ErrorOfErrno(errno);
    }
    if (buffers_->message(0).msg_len == 0) {  // end of a test's connection; a CAN socket has none
      return Status(ErrorKind::kNotFound, "the connection was closed");
    }
    ReceiveReport report;
    report.more = static_cast<std::size_t>(count) == kBatch;
    for (std::size_t i = 0; i < static_cast<std::size_t>(count); ++i) {
      if (buffers_->message(i).msg_len == 0) break;  // reported by the next call
      TakeMessage(i, frames, report);
    }
    return report;
  }

  void TakeMessage(std::size_t i, std::vector<Frame>& frames, ReceiveReport& report) {
    msghdr& header = buffers_->message(i).msg_hdr;
    const Ancillary ancillary = ParseControl(header);
    if (ancillary.dropped) {
      report.dropped += static_cast<std::uint32_t>(*ancillary.dropped - dropped_total_);
      dropped_total_ = *ancillary.dropped;
    }
    WallTime time = ancillary.time ? *ancillary.time : clock_.Now().wall;
    if (ancillary.hardware) time = hardware_clock_.Map(*ancillary.hardware, time);
    const auto frame = ParseDatagram(buffers_->bytes(i), header.msg_flags, channel_, time);
    if (!frame.ok()) {
      ++report.malformed;
      return;
    }
    frames.push_back(*frame);
    ++report.frames;
    if (!ancillary.time) ++report.without_time;
  }

  const int descriptor_;
  const std::uint8_t channel_;
  const Clock& clock_;
  const std::unique_ptr<MessageBuffers> buffers_;
  std::uint32_t dropped_total_ = 0;
  HardwareClock hardware_clock_;
};

Duration SinceZero(const timespec& time) {
  return std::chrono::seconds(time.tv_sec) + Duration(time.tv_nsec);
}

// The data of a part as a kernel structure; nullopt when it is too short.
template <class Struct>
std::optional<Struct> DataOf(cmsghdr* part) {
  if (part->cmsg_len < CMSG_LEN(sizeof(Struct))) return std::nullopt;
  Struct value{};
  std::memcpy(&value, CMSG_DATA(part), sizeof(value));
  return value;
}

// ts[0] is the kernel's stamp, ts[2] the adapter's; zero = none (Linux
// networking/timestamping.rst).
void ReadStamps(const scm_timestamping& stamps, Ancillary& ancillary) {
  const Duration kernel = SinceZero(stamps.ts[0]);
  const Duration hardware = SinceZero(stamps.ts[2]);
  if (kernel != Duration(0)) ancillary.time = WallTime(kernel);
  if (hardware != Duration(0)) ancillary.hardware = hardware;
}

}  // namespace

std::unique_ptr<FramePort> MakeFrameReceiver(int descriptor, std::uint8_t channel,
                                             const Clock& clock) {
  return std::make_unique<FrameReceiver>(descriptor, channel, clock);
}

Ancillary ParseControl(msghdr& header) {
  Ancillary ancillary;
  for (cmsghdr* part = CMSG_FIRSTHDR(&header); part != nullptr; part = CMSG_NXTHDR(&header, part)) {
    if (part->cmsg_level != SOL_SOCKET) continue;
    if (part->cmsg_type == SO_TIMESTAMPNS) {
      if (const auto time = DataOf<timespec>(part)) ancillary.time = WallTime(SinceZero(*time));
    }
    if (part->cmsg_type == SO_TIMESTAMPING) {
      if (const auto stamps = DataOf<scm_timestamping>(part)) ReadStamps(*stamps, ancillary);
    }
    if (part->cmsg_type == SO_RXQ_OVFL) ancillary.dropped = DataOf<std::uint32_t>(part);
  }
  return ancillary;
}

Result<Frame> ParseDatagram(ByteSpan bytes, int message_flags, std::uint8_t channel,
                            WallTime time) {
  const bool fd = bytes.size() == CANFD_MTU;
  if ((message_flags & MSG_TRUNC) != 0 || (!fd && bytes.size() != CAN_MTU)) {
    return Status(ErrorKind::kCorrupt,
                  "a datagram of " + std::to_string(bytes.size()) + " bytes is no CAN frame");
  }
  canfd_frame raw{};
  std::memcpy(&raw, bytes.data(), bytes.size());
  Frame frame;
  frame.time = time;
  frame.channel = channel;
  frame.id = IdOf(raw.can_id);
  frame.flags = FlagsOf(raw, fd, message_flags);
  frame.length = raw.len;
  if (!fd && raw.len == CAN_MAX_DLEN) {  // len8_dlc of struct can_frame lies at __res1
    frame.raw_dlc =
        raw.__res1 > CAN_MAX_DLEN && raw.__res1 <= CAN_MAX_RAW_DLC ? raw.__res1 : std::uint8_t{0};
  }
  RETURN_IF_ERROR(Validate(frame));
  const ByteSpan payload = frame.payload();
  std::copy_n(raw.data, payload.size(), frame.data.begin());
  return frame;
}

}  // namespace proofdrive::daemon
