#include "tests/support/long_recording.h"

#include <algorithm>
#include <cmath>

namespace proofdrive::testing {
namespace {

using State = LongCarState;

// One signal of two bytes, or of one when it has states.
struct Sent {
  const char* name;
  const char* role;
  double (*value)(const State&);
  double scale;
  double offset;
  const char* more;  // of its definition
};

struct Sender {
  const char* name;
  int bus;  // 0 pack, 1 drive
  std::uint32_t id;
  int every_ms;
  std::vector<Sent> signals;
};

constexpr const char* kOnOff = ", states: {0: off, 1: on}";
constexpr const char* kYesNo = ", states: {0: no, 1: yes}";

double Zero(const State&) { return 0; }
double One(const State&) { return 1; }
double Amps(const State& s) { return s.amps; }
double PackC(const State& s) { return s.pack_c; }
double MotorC(const State& s) { return s.motor_c; }
double Speed(const State& s) { return s.speed; }
double Rpm(const State& s) { return s.speed * 95; }
double Pump(const State& s) { return s.pump_rpm; }
double On(const State& s) { return s.contactor == 2 ? 1 : 0; }

// Invented. Two bytes in order, most significant first; states in one.
const std::vector<Sender>& Senders() {
  static const std::vector<Sender> all = {
      {"pack_status",
       0,
       0x110,
       10,
       {{"pack_voltage", "pack voltage", [](const State& s) { return s.pack_v; }, 0.1, 0,
         ", unit: V"},
        {"pack_current", "pack current", Amps, 0.1, -2000, ", unit: A, positive: discharge"},
        {"link_voltage", "link voltage", [](const State& s) { return s.link_v; }, 0.1, 0,
         ", unit: V"}}},
      {"contactors",
       0,
       0x120,
       50,
       {{"contactor", "contactor state", [](const State& s) { return 1.0 * s.contactor; }, 1, 0,
         ", states: {0: open, 1: precharging, 2: closed}"},
        {"wanted", "contactor request", [](const State& s) { return s.contactor > 0 ? 1.0 : 0.0; },
         1, 0, kOnOff},
        {"inhibit", "contactor inhibit", Zero, 1, 0, kYesNo},
        {"interlock", "interlock", Zero, 1, 0, ", states: {0: closed, 1: open}"},
        {"crash", "crash latch", Zero, 1, 0, ", states: {0: clear, 1: set}"},
        {"precharge", "precharge state",
         [](const State& s) { return s.contactor == 1 ? 1.0 : 0.0; }, 1, 0, kOnOff}}},
      {"charge_shown",
       0,
       0x130,
       100,
       {{"soc", "state of charge", [](const State& s) { return 100 * s.charge; }, 0.1, 0,
         ", unit: \"%\""},
        {"soh", "state of health", [](const State&) { return 94.0; }, 0.1, 0, ", unit: \"%\""},
        {"energy", "energy left", [](const State& s) { return 58 * s.charge; }, 0.1, 0,
         ", unit: kWh"}}},
      {"insulation",
       0,
       0x140,
       200,
       {{"isolation", "isolation resistance", [](const State& s) { return s.isolation; }, 1, 0,
         ", unit: kohm"},
        {"plus_body", "positive voltage to body", [](const State& s) { return s.link_v / 2; }, 0.1,
         0, ", unit: V"},
        {"minus_body", "negative voltage to body", [](const State& s) { return s.link_v / 2; }, 0.1,
         0, ", unit: V"}}},
      {"limits",
       0,
       0x150,
       100,
       {{"charge_kw", "charge power limit", [](const State& s) { return 120 * (1 - s.charge); },
         0.1, 0, ", unit: kW"},
        {"discharge_kw", "discharge power limit", [](const State&) { return 150.0; }, 0.1, 0,
         ", unit: kW"},
        {"charge_limit", "charge current limit",
         [](const State& s) { return 300 * (1 - s.charge); }, 0.1, 0, ", unit: A"},
        {"discharge_limit", "discharge current limit", [](const State&) { return 400.0; }, 0.1, 0,
         ", unit: A"}}},
      {"coolant",
       0,
       0x160,
       50,
       {{"pump_speed", "coolant pump speed", Pump, 1, 0, ", unit: rpm"},
        {"pump_current", "coolant pump current", [](const State& s) { return s.pump_rpm / 800; },
         0.01, 0, ", unit: A"},
        {"flow", "coolant flow", [](const State& s) { return s.pump_rpm / 300; }, 0.1, 0,
         ", unit: l/min"},
        {"pump", "coolant pump", On, 1, 0, kOnOff},
        {"level", "coolant level", One, 1, 0, ", states: {0: low, 1: ok}"}}},
      {"coolant_warmth",
       0,
       0x170,
       100,
       {{"inlet", "coolant inlet temperature", [](const State& s) { return s.inlet; }, 0.1, -40,
         ", unit: degC"},
        {"outlet", "coolant outlet temperature", [](const State& s) { return s.outlet; }, 0.1, -40,
         ", unit: degC"},
        {"pressure", "coolant pressure", [](const State& s) { return 20 + s.pump_rpm / 60; }, 0.1,
         0, ", unit: kPa"}}},
      {"charger",
       0,
       0x180,
       100,
       {{"charging", "charge state", [](const State& s) { return s.charging ? 1.0 : 0.0; }, 1, 0,
         ", states: {0: idle, 1: charging}"},
        {"plug", "charge plug", [](const State& s) { return s.charging ? 1.0 : 0.0; }, 1, 0,
         kYesNo},
        {"balancing", "balancing", Zero, 1, 0, kOnOff}}},
      {"speeds",
       1,
       0x210,
       10,
       {{"speed", "vehicle speed", Speed, 0.01, 0, ", unit: km/h"},
        {"motor_rpm", "motor speed", Rpm, 1, 0, ", unit: rpm"},
        {"torque", "motor torque", [](const State& s) { return s.amps * 0.8; }, 0.1, -2000,
         ", unit: Nm"}}},
      {"pedals",
       1,
       0x220,
       10,
       {{"accelerator", "accelerator",
         [](const State& s) { return std::clamp(s.amps / 4, 0.0, 100.0); }, 0.1, 0,
         ", unit: \"%\""},
        {"brake", "brake", [](const State& s) { return s.amps < -5 && s.driving ? 1.0 : 0.0; }, 1,
         0, kOnOff}}},
      {"rear_motor",
       1,
       0x230,
       20,
       {{"rear_rpm", "motor speed", Rpm, 1, 0, ", unit: rpm"},
        {"rear_torque", "motor torque", [](const State& s) { return s.amps * 0.4; }, 0.1, -2000,
         ", unit: Nm"},
        {"wheel_speed", "vehicle speed", Speed, 0.01, 0, ", unit: km/h"}}},
      {"warmth",
       1,
       0x240,
       100,
       {{"motor_temp", "motor temperature", MotorC, 0.1, -40, ", unit: degC"},
        {"inverter_temp", "inverter temperature", MotorC, 0.1, -40, ", unit: degC"},
        {"ambient", "ambient temperature", [](const State& s) { return s.ambient; }, 0.1, -40,
         ", unit: degC"}}},
      {"supply",
       1,
       0x250,
       100,
       {{"supply_v", "supply voltage", [](const State& s) { return s.supply_v; }, 0.01, 0,
         ", unit: V"},
        {"supply_a", "supply current", [](const State&) { return 3.0; }, 0.1, -100, ", unit: A"},
        {"converter_a", "converter current", [](const State& s) { return On(s) * 22; }, 0.1, 0,
         ", unit: A"},
        {"converter", "converter state", On, 1, 0, kOnOff}}},
      {"cluster",
       1,
       0x260,
       100,
       {{"range", "displayed range", [](const State& s) { return 340 * s.charge; }, 1, 0,
         ", unit: km"},
        {"odometer", "odometer", [](const State& s) { return s.odometer; }, 1, 0, ", unit: km"},
        {"gear", "gear", [](const State& s) { return s.driving ? 1.0 : 0.0; }, 1, 0,
         ", states: {0: park, 1: drive}"},
        {"ready", "drive ready", [](const State& s) { return s.driving ? 1.0 : 0.0; }, 1, 0,
         kYesNo},
        {"lamp", "warning lamp", [](const State& s) { return s.charge < 0.2 ? 1.0 : 0.0; }, 1, 0,
         kOnOff}}},
      {"rear_warmth",
       1,
       0x270,
       200,
       {{"rear_motor_temp", "motor temperature", MotorC, 0.1, -40, ", unit: degC"},
        {"rear_inverter_temp", "inverter temperature", MotorC, 0.1, -40, ", unit: degC"},
        {"module_temp", "module temperatures", PackC, 0.1, -40, ", unit: degC"}}},
      {"second_loop",
       1,
       0x280,
       100,
       {{"second_pump", "coolant pump speed", Pump, 1, 0, ", unit: rpm"},
        {"second_current", "pack current", Amps, 0.1, -2000, ", unit: A, positive: discharge"},
        {"second_pressure", "coolant pressure", [](const State&) { return 30.0; }, 0.1, 0,
         ", unit: kPa"}}},
  };
  return all;
}

// Lists in pages of three, the number of the page first.
struct Pages {
  const char* name;
  const char* role;
  std::uint32_t id;
  int every_ms;
  std::uint32_t count;
  double scale, offset;
  const char* unit;
};
constexpr Pages kPages[] = {
    {"cell_voltage", "cell voltages", 0x310, 20, kLongCells, 0.001, 0, "V"},
    {"cell_temp", "cell temperatures", 0x320, 100, kLongSensors, 0.1, -40, "degC"}};

// Nobody describes them.
struct Plain {
  int bus;
  std::uint32_t id;
  int every_ms;
};
constexpr Plain kPlain[] = {{0, 0x401, 20},   {0, 0x402, 50}, {0, 0x403, 100}, {1, 0x411, 10},
                            {1, 0x412, 20},   {1, 0x413, 20}, {1, 0x414, 50},  {1, 0x415, 100},
                            {1, 0x416, 1000}, {0, 0x404, 20}};

bool HasStates(const Sent& signal) {
  return std::string_view(signal.more).find("states") != std::string_view::npos;
}

std::string Definition(const Sender& sender) {
  std::string text = std::string("  ") + sender.name +
                     ":\n    bus: " + (sender.bus == 0 ? "pack" : "drive") +
                     "\n    id: " + std::to_string(sender.id) +
                     "\n    every: " + std::to_string(sender.every_ms) + " ms\n    signals:\n";
  int byte = 0;
  for (const Sent& signal : sender.signals) {
    const std::string at = std::to_string(byte);
    const bool states = HasStates(signal);
    byte += states ? 1 : 2;
    text += std::string("      ") + signal.name + ": {where: " +
            (states ? "byte " + at : "bytes " + at + "-" + std::to_string(byte - 1)) +
            ", role: " + signal.role + signal.more;
    if (!states) {
      text +=
          ", scale: " + std::to_string(signal.scale) + ", offset: " + std::to_string(signal.offset);
    }
    text += "}\n";
  }
  return text;
}

void Put(double value, std::size_t at, Frame& frame) {
  const auto raw = static_cast<std::uint32_t>(std::clamp(value, 0.0, 65535.0) + 0.5);
  frame.data[at] = static_cast<std::uint8_t>(raw >> 8);
  frame.data[at + 1] = static_cast<std::uint8_t>(raw);
}

void Fill(const Sender& sender, const State& state, double noise, Frame& frame) {
  std::size_t byte = 0;
  for (const Sent& signal : sender.signals) {
    const double value = signal.value(state);
    if (HasStates(signal)) {
      frame.data[byte++] = static_cast<std::uint8_t>(value);
    } else {
      Put((value - signal.offset) / signal.scale + noise, byte, frame);
      byte += 2;
    }
  }
}

constexpr std::size_t kPageList = std::size(kPages);

}  // namespace

std::string LongDefinitions() {
  std::string text =
      "vehicle: Days (invented)\nbyte order: big\nbuses: {pack: {bitrate: 500000}, drive: "
      "{bitrate: 500000}}\nfacts: {pack.chemistry: nmc, pack.capacity: 160}\nframes:\n";
  for (const Sender& sender : Senders()) text += Definition(sender);
  for (const Pages& pages : kPages) {
    text +=
        std::string("  ") + pages.name + "s:\n    bus: pack\n    id: " + std::to_string(pages.id) +
        "\n    every: " + std::to_string(pages.every_ms) +
        " ms\n    page: {where: byte 0}\n    series: {" + pages.name +
        ": {first: byte 1, each: 2 bytes, per page: 3, count: " + std::to_string(pages.count) +
        ", scale: " + std::to_string(pages.scale) + ", offset: " + std::to_string(pages.offset) +
        ", unit: " + pages.unit + ", role: " + pages.role + "}}\n";
  }
  text +=
      "warnings:\n"
      "  charge_low: {text: Charge low, when: \"soc < 20\", on after: 2 s, off after: 2 s, "
      "severity: soon, proven by: {condition: \"speed > 30\", for: 60 s}}\n"
      "  pack_warm: {text: Pack warm, when: \"inlet > 45\", on after: 2 s, off after: 5 s, "
      "severity: soon, proven by: {condition: \"pack_current > 100\", for: 10 s}}\n"
      "  coolant_low: {text: Coolant low, when: \"level == low\", on after: 2 s, off after: 5 s, "
      "severity: stop, proven by: {condition: \"pump == on\", for: 60 s}}\n";
  return text;
}

LongRecording::LongRecording(std::uint64_t seed, double hours)
    : car_(seed), left_s_(3600 * hours), last_us_(2, -1) {
  MakeSlots();
}

LongRecording::~LongRecording() = default;

// Senders first, then pages, then what nobody describes.
void LongRecording::MakeSlots() {
  std::vector<int> every;
  for (const Sender& sender : Senders()) every.push_back(sender.every_ms);
  for (const Pages& pages : kPages) every.push_back(pages.every_ms);
  for (const Plain& plain : kPlain) every.push_back(plain.every_ms);
  sent_.resize(every.size());
  for (std::uint32_t i = 0; i < every.size(); ++i) {
    const std::int64_t period = 1000 * every[i];
    for (std::int64_t at = (i * 737) % period; at < 1'000'000; at += period) {
      slots_.push_back({at, i});
    }
  }
  std::sort(slots_.begin(), slots_.end(), [](const Slot& a, const Slot& b) {
    return std::pair(a.offset_us, a.sender) < std::pair(b.offset_us, b.sender);
  });
}

void LongRecording::Send(const Slot& slot) {
  Frame frame;
  const std::size_t number = slot.sender;
  const std::size_t senders = Senders().size();
  const double random = car_.Random();
  frame.length = 8;
  if (number < senders) {
    const Sender& sender = Senders()[number];
    frame.channel = static_cast<std::uint8_t>(sender.bus);
    frame.id = sender.id;
    Fill(sender, car_.state(), std::floor(2 * random), frame);
  } else if (number < senders + kPageList) {
    const Pages& pages = kPages[number - senders];
    const std::uint32_t page = sent_[number] % (pages.count / 3);
    frame.id = pages.id;
    frame.data[0] = static_cast<std::uint8_t>(page);
    for (std::size_t i = 0; i < 3; ++i) {
      const std::size_t element = 3 * page + i;
      const double value = number == senders ? car_.Cell(element) : car_.Sensor(element);
      Put((value - pages.offset) / pages.scale, 1 + 2 * i, frame);
    }
  } else {
    const Plain& plain = kPlain[number - senders - kPageList];
    frame.channel = static_cast<std::uint8_t>(plain.bus);
    frame.id = plain.id;
    frame.data[0] = static_cast<std::uint8_t>(sent_[number]);
    frame.data[3] = static_cast<std::uint8_t>(car_.state().speed);
  }
  ++sent_[number];
  std::int64_t& last = last_us_[frame.channel];
  last = std::max(last + 1, now_us_ + slot.offset_us + static_cast<std::int64_t>(80 * random));
  frame.time = WallTime(std::chrono::seconds(1'772'366'400)) + std::chrono::microseconds(last);
  frames_.push_back(frame);
}

const std::vector<Frame>& LongRecording::Next() {
  frames_.clear();
  if (car_.does() == LongCar::Does::kSleeps) {
    const double asleep = car_.seconds_left();
    left_s_ -= asleep;
    now_us_ += static_cast<std::int64_t>(asleep * 1e6);
    car_.SleepToTheEnd();
  }
  if (left_s_ <= 0) return frames_;
  std::int64_t stepped_us = 0;
  for (const Slot& slot : slots_) {
    for (; stepped_us <= slot.offset_us; stepped_us += 10'000) car_.Step();
    Send(slot);
  }
  for (; stepped_us < 1'000'000; stepped_us += 10'000) car_.Step();
  left_s_ -= 1;
  now_us_ += 1'000'000;
  // Frames of the two buses are in the order in which they were sent but for their jitter.
  std::stable_sort(frames_.begin(), frames_.end(),
                   [](const Frame& a, const Frame& b) { return a.time < b.time; });
  return frames_;
}

}  // namespace proofdrive::testing
