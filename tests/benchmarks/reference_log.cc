#include "tests/benchmarks/reference_log.h"

#include <algorithm>
#include <array>
#include <queue>
#include <random>

namespace proofdrive::benchmarks {
namespace {

constexpr std::size_t kStreams = 80;
constexpr std::int64_t kStart = 1'700'000'000'000'000'000;
// By period, in the order of kPeriods.
constexpr std::array<double, 8> kPeriods = {0.01, 0.02, 0.02, 0.05, 0.1, 0.1, 0.2, 1.0};
constexpr std::array<bool, 8> kGuarded = {true, false, false, false, true, false, true, true};
constexpr double kFrameSeconds = 0.00023;  // 8 bytes at 500 kbit/s with some stuff bits

// A random walk that is written as a number of one or two bytes.
struct Field {
  std::size_t byte = 0;
  std::size_t bytes = 1;
  double value = 0;
  double speed = 0;
  double noise = 0;
  double limit = 255;
};

struct Sender {
  std::uint32_t id = 0;
  double period = 0;
  double release = 0;
  bool guarded = false;  // has a counter and a checksum
  bool big_endian = false;
  std::uint8_t counter = 0;
  std::uint8_t length = 8;
  std::array<std::uint8_t, 8> payload{};
  std::vector<Field> fields;
};

std::uint8_t Checksum(const std::array<std::uint8_t, 8>& payload) {
  std::uint8_t crc = 0xFF;
  for (std::size_t i = 0; i + 1 < payload.size(); ++i) {
    crc = static_cast<std::uint8_t>(crc ^ payload[i]);
    for (int bit = 0; bit < 8; ++bit) {
      crc = static_cast<std::uint8_t>((crc << 1) ^ ((crc & 0x80) ? 0x1D : 0));
    }
  }
  return static_cast<std::uint8_t>(crc ^ 0xFF);
}

}  // namespace

class ReferenceLog::Bus {
 public:
  explicit Bus(std::uint64_t seed) : random_(seed) {
    for (std::size_t i = 0; i < kStreams; ++i) senders_.push_back(MakeSender(i, kPeriods));
  }

  std::vector<Frame> Next(std::size_t count) {
    std::vector<Frame> frames;
    frames.reserve(count);
    while (frames.size() < count) {
      Sender& sender = NextOnBus();
      const double sent = std::max(bus_free_, sender.release) + kFrameSeconds;
      bus_free_ = sent;
      Advance(sender);
      frames.push_back(MakeFrame(sender, sent));
      sender.release += sender.period + Jitter() - last_jitter_[sender.id % kStreams];
      last_jitter_[sender.id % kStreams] = jitter_;
    }
    return frames;
  }

 private:
  double Uniform(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random_);
  }
  double Jitter() { return jitter_ = Uniform(20e-6, 150e-6); }

  Sender MakeSender(std::size_t number, const std::array<double, 8>& periods) {
    Sender sender;
    sender.id = static_cast<std::uint32_t>(0x100 + number);
    sender.period = periods[number % periods.size()] * (1 + Uniform(-50e-6, 50e-6));
    sender.release = Uniform(0, sender.period);
    sender.guarded = kGuarded[number % kGuarded.size()];
    sender.big_endian = number / periods.size() % 2 == 0;
    std::size_t byte = 0;
    while (byte < 6) {
      Field field;
      field.byte = byte;
      field.bytes = random_() % 2 == 0 && byte < 5 ? 2 : 1;
      field.limit = field.bytes == 2 ? 65535 : 255;
      field.value = Uniform(0, field.limit);
      field.speed = random_() % 3 == 0 ? 0 : Uniform(0, field.limit * 0.002);
      field.noise = random_() % 2 == 0 ? 0 : Uniform(0, 2);
      sender.fields.push_back(field);
      byte += field.bytes + random_() % 2;
    }
    return sender;
  }

  // The lowest identifier among those that wait when the bus becomes free.
  Sender& NextOnBus() {
    double first = senders_.front().release;
    for (const Sender& sender : senders_) first = std::min(first, sender.release);
    const double now = std::max(first, bus_free_);
    return *std::find_if(senders_.begin(), senders_.end(),
                         [&](const Sender& sender) { return sender.release <= now; });
  }

  void Advance(Sender& sender) {
    for (Field& field : sender.fields) {
      field.value += std::normal_distribution<double>(0, 1)(random_) * field.speed;
      field.value = std::clamp(field.value, 0.0, field.limit);
      const double shown =
          std::clamp(field.value + Uniform(-field.noise, field.noise), 0.0, field.limit);
      const auto raw = static_cast<std::uint32_t>(shown);
      for (std::size_t b = 0; b < field.bytes; ++b) {
        const std::size_t weight = sender.big_endian ? field.bytes - 1 - b : b;
        sender.payload[field.byte + b] = static_cast<std::uint8_t>(raw >> (8 * weight));
      }
    }
    if (!sender.guarded) return;
    sender.counter = static_cast<std::uint8_t>((sender.counter + 1) % 15);
    sender.payload[6] = sender.counter;
    sender.payload[7] = Checksum(sender.payload);
  }

  static Frame MakeFrame(const Sender& sender, double sent) {
    Frame frame;
    frame.time = WallFromNanoseconds(kStart + static_cast<std::int64_t>(sent * 1e6) * 1000);
    frame.id = sender.id;
    frame.length = sender.length;
    std::copy(sender.payload.begin(), sender.payload.end(), frame.data.begin());
    return frame;
  }

  std::mt19937_64 random_;
  std::vector<Sender> senders_;
  std::array<double, kStreams> last_jitter_{};
  double jitter_ = 0;
  double bus_free_ = 0;
};

ReferenceLog::ReferenceLog(std::uint64_t seed) : bus_(std::make_unique<Bus>(seed)) {}
ReferenceLog::~ReferenceLog() = default;

std::vector<Frame> ReferenceLog::Next(std::size_t count) { return bus_->Next(count); }

}  // namespace proofdrive::benchmarks
