#include "analysis/survey/protection/check_models.h"

#include <algorithm>
#include <memory>

#include "decoders/model/checksums.h"

namespace proofdrive::analysis::survey {
namespace {

constexpr std::array<std::uint32_t, 5> kNamed8 = {0x1D, 0x2F, 0x07, 0x31, 0x9B};
constexpr std::array<std::uint32_t, 6> kAll16 = {0x1021, 0x8005, 0x3D65, 0xC867, 0x0589, 0x8BB7};

std::uint32_t Reflect(std::uint32_t value, unsigned bits) {
  std::uint32_t result = 0;
  for (unsigned i = 0; i < bits; ++i) result |= ((value >> i) & 1U) << (bits - 1 - i);
  return result;
}

// Least significant bit first.
decoders::Crc8Table MakeReflectedTable(std::uint32_t polynomial) {
  decoders::Crc8Table table{};
  const std::uint32_t reflected = Reflect(polynomial, 8);
  for (unsigned i = 0; i < table.size(); ++i) {
    unsigned value = i;
    for (int bit = 0; bit < 8; ++bit) value = (value >> 1) ^ ((value & 1U) != 0 ? reflected : 0);
    table[i] = static_cast<std::uint8_t>(value);
  }
  return table;
}

struct Tables {
  std::array<decoders::Crc8Table, 256> forward;
  std::array<decoders::Crc8Table, 256> reflected;
};

const Tables& AllTables() {
  static const std::unique_ptr<const Tables> tables = [] {
    auto made = std::make_unique<Tables>();
    for (unsigned polynomial = 1; polynomial < 256; polynomial += 2) {
      made->forward[polynomial] = decoders::MakeCrc8Table(static_cast<std::uint8_t>(polynomial));
      made->reflected[polynomial] = MakeReflectedTable(polynomial);
    }
    return made;
  }();
  return *tables;
}

std::uint32_t Step16(std::uint32_t value, std::uint8_t byte, std::uint32_t polynomial,
                     bool reflected) {
  if (reflected) {
    value ^= byte;
    const std::uint32_t turned = Reflect(polynomial, 16);
    for (int bit = 0; bit < 8; ++bit) value = (value >> 1) ^ ((value & 1U) != 0 ? turned : 0);
    return value;
  }
  value ^= static_cast<std::uint32_t>(byte) << 8;
  for (int bit = 0; bit < 8; ++bit) {
    value = (value << 1) ^ ((value & 0x8000U) != 0 ? 0x10000U | polynomial : 0);
  }
  return value & 0xFFFFU;
}

std::size_t BytesOf(const CheckPlace& place) { return place.bits == 16 ? 2 : 1; }

std::uint32_t SentCheck(const CheckPlace& place, ByteSpan payload) {
  const std::uint32_t first = payload[place.byte];
  if (place.bits == 8) return first;
  if (place.bits == 4) return (first >> place.lowest_bit) & 0xFU;
  const std::uint32_t second = payload[place.byte + 1];
  return place.little ? second << 8 | first : first << 8 | second;
}

// Over the other half of the byte, too.
std::uint32_t Constant4(const CheckModel& model, ByteSpan payload, std::uint32_t sent) {
  std::uint32_t sum = 0;
  std::uint32_t all = 0;
  for (const std::uint8_t byte : payload) {
    sum += byte & 0xFU;
    sum += byte >> 4;
    all ^= byte ^ static_cast<std::uint32_t>(byte >> 4);
  }
  sum -= sent;
  if (model.kind == CheckKind::kXor) return all & 0xFU;
  return (model.kind == CheckKind::kSum ? sent - sum : sent + sum) & 0xFU;
}

std::uint32_t ConstantOfSum(const CheckModel& model, ByteSpan payload, std::uint32_t sent) {
  const std::size_t skip = model.place.byte;
  const std::size_t after = skip + BytesOf(model.place);
  std::uint32_t sum = 0;
  std::uint32_t all = 0;
  for (std::size_t i = 0; i < payload.size(); ++i) {
    if (i >= skip && i < after) continue;
    sum += payload[i];
    all ^= payload[i];
  }
  const std::uint32_t mask = (1U << model.place.bits) - 1U;
  if (model.kind == CheckKind::kXor) return (all ^ sent) & mask;
  return (model.kind == CheckKind::kSum ? sent - sum : sent + sum) & mask;
}

std::uint32_t ConstantOfCrc8(const CheckModel& model, ByteSpan payload) {
  const Tables& tables = AllTables();
  const auto& table = model.kind == CheckKind::kCrc ? tables.forward[model.polynomial]
                                                    : tables.reflected[model.polynomial];
  std::uint8_t value = 0;
  for (std::size_t i = 0; i < model.place.byte; ++i) value = table[value ^ payload[i]];
  for (std::size_t i = model.place.byte + 1; i < payload.size(); ++i) {
    value = table[value ^ payload[i]];
  }
  for (unsigned i = 0; i < model.trailing; ++i) value = table[value];
  return value ^ unsigned { payload[model.place.byte] };
}

std::uint32_t ConstantOfCrc16(const CheckModel& model, ByteSpan payload, std::uint32_t sent) {
  std::uint32_t value = 0;
  for (std::size_t i = 0; i < payload.size(); ++i) {
    if (i == model.place.byte || i == model.place.byte + 1) continue;
    value = Step16(value, payload[i], model.polynomial, model.kind == CheckKind::kReflectedCrc);
  }
  for (unsigned i = 0; i < model.trailing; ++i) {
    value = Step16(value, 0, model.polynomial, model.kind == CheckKind::kReflectedCrc);
  }
  return value ^ sent;
}

void AddByteModels(std::size_t byte, std::vector<CheckModel>& models) {
  const CheckPlace place{byte, 8, 0, false};
  for (const CheckKind kind : {CheckKind::kXor, CheckKind::kSum, CheckKind::kNegativeSum}) {
    models.push_back({place, kind, 0, 0});
  }
  // Polynomial 1 would be exclusive or once more.
  for (std::uint32_t polynomial = 3; polynomial < 256; polynomial += 2) {
    models.push_back({place, CheckKind::kCrc, polynomial, 0});
    models.push_back({place, CheckKind::kReflectedCrc, polynomial, 0});
  }
  for (const unsigned lowest : {0U, 4U}) {
    for (const CheckKind kind : {CheckKind::kXor, CheckKind::kSum, CheckKind::kNegativeSum}) {
      models.push_back({{byte, 4, lowest, false}, kind, 0, 0});
    }
  }
}

void AddWordModels(std::size_t byte, std::vector<CheckModel>& models) {
  for (const bool little : {false, true}) {
    const CheckPlace place{byte, 16, 0, little};
    models.push_back({place, CheckKind::kSum, 0, 0});
    for (const std::uint32_t polynomial : kAll16) {
      models.push_back({place, CheckKind::kCrc, polynomial, 0});
      models.push_back({place, CheckKind::kReflectedCrc, polynomial, 0});
    }
    // AUTOSAR E2E profile 5: the data id follows the data.
    models.push_back({place, CheckKind::kCrc, 0x1021, 2});
  }
}

// The name that definition files have for this CRC with this constant; empty: none of its own.
std::string PlainName(std::uint32_t polynomial, std::uint32_t constant, std::size_t length) {
  const std::vector<std::uint8_t> zeros(length - 1, 0);
  for (const auto& [name, its_polynomial] :
       {std::pair<const char*, std::uint32_t>{"crc-8-sae-j1850", 0x1D}, {"crc-8-h2f", 0x2F}}) {
    const decoders::Checksum* kind = decoders::FindChecksum(name);
    if (polynomial != its_polynomial || kind == nullptr) continue;
    if (kind->function({zeros, 0, nullptr, nullptr}) == constant) return name;
  }
  return "";
}

// The data id of profile 5 that gives this constant, low byte first after `length` - 2 bytes.
std::uint32_t DataIdOfProfile5(std::uint32_t constant, std::size_t length) {
  std::uint32_t value = 0xFFFF;
  for (std::size_t i = 0; i + 2 < length; ++i) value = Step16(value, 0, 0x1021, false);
  for (std::uint32_t id = 0; id < 0x10000; ++id) {
    const std::uint32_t low = Step16(value, static_cast<std::uint8_t>(id & 0xFFU), 0x1021, false);
    if (Step16(low, static_cast<std::uint8_t>(id >> 8), 0x1021, false) == constant) return id;
  }
  return 0;
}

}  // namespace

std::uint32_t ConstantOf(const CheckModel& model, ByteSpan payload) {
  const std::uint32_t sent = SentCheck(model.place, payload);
  const bool is_crc = model.kind == CheckKind::kCrc || model.kind == CheckKind::kReflectedCrc;
  if (model.place.bits == 4) return Constant4(model, payload, sent);
  if (!is_crc) return ConstantOfSum(model, payload, sent);
  return model.place.bits == 8 ? ConstantOfCrc8(model, payload)
                               : ConstantOfCrc16(model, payload, sent);
}

std::vector<CheckModel> ModelsFor(std::size_t length) {
  std::vector<CheckModel> models;
  for (std::size_t byte = 0; byte < length; ++byte) AddByteModels(byte, models);
  for (std::size_t byte = 0; byte + 1 < length; ++byte) AddWordModels(byte, models);
  return models;
}

unsigned RankOf(const CheckModel& model) {
  if (model.kind == CheckKind::kXor) return 0;
  if (model.kind == CheckKind::kSum) return 1;
  if (model.kind == CheckKind::kNegativeSum) return 2;
  const bool named = model.place.bits == 16 ? model.polynomial == 0x1021
                                            : std::find(kNamed8.begin(), kNamed8.end(),
                                                        model.polynomial) != kNamed8.end();
  return (named ? 3U : 5U) + (model.kind == CheckKind::kReflectedCrc ? 1U : 0U);
}

ChecksumModel Named(const CheckModel& model, std::uint32_t constant, std::size_t length) {
  const std::string bits = std::to_string(model.place.bits);
  ChecksumModel named;
  switch (model.kind) {
    case CheckKind::kXor:
      named.kind = model.place.bits == 8 ? "xor" : "xor-" + bits;
      break;
    case CheckKind::kSum:
      named.kind = "sum-" + bits;
      break;
    case CheckKind::kNegativeSum:
      named.kind = "negative sum-" + bits;
      break;
    case CheckKind::kCrc:
      named.kind = "crc-" + bits;
      if (model.place.bits == 8) {
        const std::string plain = PlainName(model.polynomial, constant, length);
        if (!plain.empty()) named.kind = plain;
      }
      break;
    case CheckKind::kReflectedCrc:
      named.kind = "reflected crc-" + bits;
      break;
  }
  if (model.trailing == 2) {
    named.kind = "e2e-profile-5";
    named.constant = DataIdOfProfile5(constant, length);
    named.little = model.place.little;
    return named;
  }
  named.polynomial = model.polynomial;
  named.constant = constant;
  named.little = model.place.little;
  return named;
}

decoders::Location LocationOf(const CheckPlace& place) {
  const auto byte = static_cast<std::uint8_t>(place.byte);
  const auto next = static_cast<std::uint8_t>(place.byte + 1);
  if (place.bits != 16) {
    return {{{byte, static_cast<std::uint8_t>(place.lowest_bit),
              static_cast<std::uint8_t>(place.bits)}}};
  }
  if (place.little) return {{{next, 0, 8}, {byte, 0, 8}}};
  return {{{byte, 0, 8}, {next, 0, 8}}};
}

}  // namespace proofdrive::analysis::survey
