// libpcap, a reader of the format that we did not write, reads what we write.
#include <gmock/gmock.h>
#include <pcap/pcap.h>

#include <random>

#include "core/base/posix_files.h"
#include "output/pcapng/can_packet.h"
#include "output/pcapng/writer.h"
#include "tests/support/matchers.h"
#include "tests/support/temp_dir.h"
#include "tests/unit/output/pcapng/capture_bytes.h"

namespace proofdrive::output {
namespace {

using namespace testing;  // NOLINT: capture_bytes.h

struct ReadBack {
  std::int64_t time_ns;
  Bytes packet;
};

std::vector<ReadBack> ReadWithLibpcap(const std::string& path) {
  char error[PCAP_ERRBUF_SIZE];
  pcap_t* handle =
      pcap_open_offline_with_tstamp_precision(path.c_str(), PCAP_TSTAMP_PRECISION_NANO, error);
  if (handle == nullptr) {
    ADD_FAILURE() << error;
    return {};
  }
  EXPECT_EQ(pcap_datalink(handle), 227);
  std::vector<ReadBack> packets;
  pcap_pkthdr* header = nullptr;
  const u_char* data = nullptr;
  int got = 0;
  while ((got = pcap_next_ex(handle, &header, &data)) == 1) {
    packets.push_back({header->ts.tv_sec * 1'000'000'000 + header->ts.tv_usec,
                       Bytes(data, data + header->caplen)});
  }
  EXPECT_EQ(got, PCAP_ERROR_BREAK) << pcap_geterr(handle);
  pcap_close(handle);
  return packets;
}

Frame RandomFrame(std::mt19937& random) {
  Frame frame;
  frame.channel = static_cast<std::uint8_t>(random() % 3);
  const bool fd = random() % 4 == 0;
  const bool extended = random() % 2 == 0;
  frame.flags = static_cast<std::uint8_t>((fd ? kFlexibleData : 0) | (extended ? kExtendedId : 0));
  frame.id = static_cast<std::uint32_t>(random()) & (extended ? kMaxExtendedId : kMaxBaseId);
  frame.length = fd ? FdLengthOfDlc(static_cast<std::uint8_t>(random() % 16))
                    : static_cast<std::uint8_t>(random() % 9);
  for (std::size_t i = 0; i < frame.length; ++i) {
    frame.data[i] = static_cast<std::uint8_t>(random());
  }
  return frame;
}

class Libpcap : public ::testing::Test {
 protected:
  void Open() {
    writer_ = CaptureWriter::Create(files_, path_, "proofdrive test").value();
    for (std::uint8_t number = 0; number < 3; ++number) {
      session::Channel channel;
      channel.number = number;
      channel.name = "can" + std::to_string(number);
      channel.bus = "pack";
      channel.bitrate = 500000;
      ASSERT_OK(writer_->AddChannel(channel));
    }
  }

  proofdrive::testing::TempDir folder_;
  const std::string path_ = folder_.File("x.pcapng");
  PosixFiles files_;
  std::unique_ptr<CaptureWriter> writer_;
};

TEST_F(Libpcap, ReadsEveryFrameWithItsTime) {
  const std::uint32_t seed = std::random_device{}();
  SCOPED_TRACE("seed " + std::to_string(seed));
  std::mt19937 random(seed);
  Open();
  std::vector<Frame> frames;
  std::int64_t time = kT0;
  for (int i = 0; i < 5000; ++i) {
    Frame frame = RandomFrame(random);
    frame.time = WallFromNanoseconds(time += static_cast<std::int64_t>(random() % 1'000'000));
    ASSERT_OK(writer_->AddFrame(frame, random() % 50 == 0 ? 3 : 0));
    if (random() % 100 == 0) {
      ASSERT_OK(writer_->AddMark(frame.time, "mark"));
    }
    frames.push_back(frame);
  }
  ASSERT_OK(writer_->Finish());
  const std::vector<ReadBack> packets = ReadWithLibpcap(path_);
  ASSERT_EQ(packets.size(), frames.size());
  for (std::size_t i = 0; i < frames.size(); ++i) {
    ASSERT_EQ(packets[i].time_ns, ToNanoseconds(frames[i].time)) << i;
    ASSERT_EQ(packets[i].packet, EncodeCanPacket(frames[i])) << i;
  }
}

TEST_F(Libpcap, FileIsValidAtEveryFlush) {
  Open();
  for (std::size_t i = 1; i <= 20; ++i) {
    ASSERT_OK(writer_->AddFrame(MakeFrame(kT0 + static_cast<std::int64_t>(i), 0x100, 0, "01")));
    ASSERT_OK(writer_->Flush());
    EXPECT_EQ(ReadWithLibpcap(path_).size(), i);
  }
}

}  // namespace
}  // namespace proofdrive::output
