// rig_isotp OURS KERNELS [many|fd]: our ISO 15765-2 on the interface OURS against the kernel's
// can-isotp on KERNELS (another controller of the same network, or the same virtual one), in both
// directions: three separations and block sizes, 11 and 29 bits, extended addressing; "every":
// every length from 1 to 4095; "fd": the same in frames of 64 bytes. Exit 0 when all arrived
// unaltered.
#include <time.h>

#include <cstdio>
#include <cstring>
#include <string>

#include "decoders/transport/receiver.h"
#include "decoders/transport/sender.h"
#include "tests/rig/can_port.h"
#include "tests/rig/kernel_isotp.h"

namespace proofdrive::rig {
namespace {

using Bytes = std::vector<std::uint8_t>;
using decoders::Receiver;
using decoders::ReceiverLimits;
using decoders::Sender;
using decoders::SenderLimits;
using decoders::TransferProblem;
using decoders::TransferState;
using decoders::TransportLayout;

// How both sides are set up.
struct Variant {
  const char* name = "";
  std::uint8_t separation = 0;  // asked by both receivers
  std::uint8_t block_size = 0;
  bool extended_id = false;
  bool address_byte = false;
  bool padding = false;
  std::uint8_t frame_bytes = 8;
};

constexpr std::uint8_t kOurAddress = 0x5B;
constexpr std::uint8_t kTheirAddress = 0x2C;
constexpr std::size_t kPatience = 30;  // seconds without end of a transfer

std::uint32_t OurId(const Variant& v) { return v.extended_id ? 0x18DA42F1 : 0x7E1; }
std::uint32_t TheirId(const Variant& v) { return v.extended_id ? 0x18DAF142 : 0x7E9; }

SteadyTime SteadyNow() {
  timespec time{};
  clock_gettime(CLOCK_MONOTONIC, &time);
  return SteadyTime(Duration(std::int64_t{time.tv_sec} * 1'000'000'000 + time.tv_nsec));
}

Bytes Content(std::size_t length) {
  Bytes bytes(length);
  for (std::size_t i = 0; i < length; ++i) {
    bytes[i] = static_cast<std::uint8_t>(i * 31 + length + (i >> 8));
  }
  return bytes;
}

IsotpSettings SettingsOf(const Variant& v) {
  IsotpSettings settings;
  settings.sends = TheirId(v);
  settings.receives = OurId(v);
  settings.extended_id = v.extended_id;
  settings.separation = v.separation;
  settings.block_size = v.block_size;
  settings.padding = v.padding;
  settings.frame_bytes = v.frame_bytes;
  settings.address_byte = v.address_byte;
  settings.sent_address = kOurAddress;
  settings.received_address = kTheirAddress;
  return settings;
}

class Contest {
 public:
  Status Open(const std::string& ours, const std::string& kernels, const Variant& v) {
    variant_ = v;
    RETURN_IF_ERROR(port_.Open(ours));
    return kernel_.Open(kernels, SettingsOf(v));
  }

  // Ours to the kernel, then the kernel's to us.
  Status Exchange(std::size_t length) {
    const Bytes message = Content(length);
    RETURN_IF_ERROR(SendOurs(message).WithContext("to the kernel"));
    auto received = kernel_.Read(5000);
    if (!received.ok()) return received.status().WithContext("to the kernel");
    if (*received != message) return Status(ErrorKind::kCorrupt, "the kernel got something else");
    RETURN_IF_ERROR(kernel_.Write(message));
    ASSIGN_OR_RETURN(const Bytes ours, ReceiveTheirs());
    if (ours != message) return Status(ErrorKind::kCorrupt, "we got something else");
    return Status::Ok();
  }

 private:
  TransportLayout Layout() const {
    TransportLayout layout;
    layout.frame_bytes = variant_.frame_bytes;
    if (!variant_.padding) layout.padding.reset();
    if (variant_.address_byte) {
      layout.sent_address = kTheirAddress;
      layout.received_address = kOurAddress;
    }
    return layout;
  }

  Frame Framed(const Bytes& data) const {
    Frame frame;
    frame.id = OurId(variant_);
    if (variant_.extended_id) frame.flags |= kExtendedId;
    if (variant_.frame_bytes > 8) frame.flags |= kFlexibleData;
    frame.length = static_cast<std::uint8_t>(data.size());
    std::copy(data.begin(), data.end(), frame.data.begin());
    return frame;
  }

  // Waits at most until the machine has something to do.
  template <class Machine>
  void Feed(Machine& machine) {
    Duration wait = std::chrono::seconds(1);
    if (const auto due = machine.deadline()) wait = std::min(wait, *due - SteadyNow());
    const int ms = wait <= Duration(0) ? 0 : static_cast<int>(wait / std::chrono::milliseconds(1));
    const auto frame = port_.Receive(ms);
    if (!frame.ok() || frame->id != TheirId(variant_)) return;
    machine.OnFrame(frame->payload(), SteadyNow());
  }

  Status SendOurs(const Bytes& message) {
    SenderLimits limits;
    limits.message = 1 << 20;
    Sender sender(Layout(), limits);
    RETURN_IF_ERROR(sender.Start(message, SteadyNow()));
    while (sender.state() == TransferState::kActive) {
      while (const auto data = sender.Next(SteadyNow())) {
        RETURN_IF_ERROR(port_.Send(Framed(*data)));
        sender.OnSent(SteadyNow());
      }
      if (sender.state() != TransferState::kActive) break;
      Feed(sender);
      sender.Advance(SteadyNow());
    }
    if (sender.state() == TransferState::kDone) return Status::Ok();
    return Status(ErrorKind::kIo, std::string(TransferProblemText(sender.problem())));
  }

  Result<Bytes> ReceiveTheirs() {
    ReceiverLimits limits;
    limits.separation = variant_.separation;
    limits.block_size = variant_.block_size;
    limits.message = 1 << 20;
    Receiver receiver(Layout(), limits);
    const SteadyTime limit = SteadyNow() + std::chrono::seconds(kPatience * 10);
    while (SteadyNow() < limit) {
      while (const auto data = receiver.Next(SteadyNow())) {
        RETURN_IF_ERROR(port_.Send(Framed(*data)));
        receiver.OnSent(SteadyNow());
      }
      if (auto message = receiver.Take()) {
        if (message->problem == TransferProblem::kNone) return std::move(message->bytes);
        return Status(ErrorKind::kIo, std::string(TransferProblemText(message->problem)));
      }
      Feed(receiver);
      receiver.Advance(SteadyNow());
    }
    return Status(ErrorKind::kUnavailable, "the kernel's message did not come");
  }

  Variant variant_;
  CanPort port_;
  KernelIsotp kernel_;
};

// Every length up to `every`, then in steps of `step`, and the places where the form changes.
std::vector<std::size_t> Lengths(std::size_t every, std::size_t step) {
  std::vector<std::size_t> lengths;
  for (std::size_t length = 1; length <= 4095; length += length < every ? 1 : step) {
    lengths.push_back(length);
  }
  lengths.insert(lengths.end(), {4094, 4095, 4096, 4097, 8000});
  return lengths;
}

int Play(const std::string& ours, const std::string& kernels, const Variant& v,
         const std::vector<std::size_t>& lengths) {
  Contest contest;
  Status status = contest.Open(ours, kernels, v);
  for (std::size_t i = 0; status.ok() && i < lengths.size(); ++i) {
    status = contest.Exchange(lengths[i]).WithContext(std::to_string(lengths[i]) + " bytes");
  }
  std::printf("%s: %s\n", v.name,
              status.ok() ? (std::to_string(lengths.size()) + " lengths, both directions").c_str()
                          : status.message().c_str());
  std::fflush(stdout);
  return status.ok() ? 0 : 1;
}

constexpr Variant kVariants[] = {
    {"no separation", 0x00, 0, false, false, false, 8},
    {"5 ms, blocks of 8", 0x05, 8, false, false, true, 8},
    {"300 us, blocks of 1", 0xF3, 1, true, false, false, 8},
    {"extended addressing", 0x00, 15, false, true, false, 8},
};
constexpr Variant kFlexible = {"FD, 64 bytes", 0x00, 0, false, false, false, 64};
constexpr Variant kManyLengths = {"many lengths", 0x00, 0, false, false, false, 8};

int Run(const std::string& ours, const std::string& kernels, const std::string& what) {
  if (what == "many") return Play(ours, kernels, kManyLengths, Lengths(500, 37));
  if (what == "fd") return Play(ours, kernels, kFlexible, Lengths(4095, 1));
  int failures = 0;
  for (const Variant& v : kVariants) failures += Play(ours, kernels, v, Lengths(70, 411));
  return failures == 0 ? 0 : 1;
}

}  // namespace
}  // namespace proofdrive::rig

int main(int argc, char** argv) {
  if (argc < 3) return 2;
  return proofdrive::rig::Run(argv[1], argv[2], argc > 3 ? argv[3] : "");
}
