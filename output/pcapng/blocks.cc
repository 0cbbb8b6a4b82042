#include "output/pcapng/blocks.h"

#include <algorithm>

namespace proofdrive::output {
namespace {

struct NamedLinkType {
  std::uint16_t number;
  const char* name;
};

constexpr NamedLinkType kLinkTypes[] = {
    {1, "Ethernet"},       {101, "raw IP"},       {105, "wireless LAN"},
    {113, "Linux cooked"}, {189, "USB"},          {190, "CAN 2.0b, an older layout"},
    {220, "USB"},          {kLinkTypeCan, "CAN"}, {276, "Linux cooked, v2"},
};

}  // namespace

std::string LinkTypeText(std::uint16_t link_type) {
  for (const NamedLinkType& known : kLinkTypes) {
    if (known.number == link_type) {
      return std::string(known.name) + " (" + std::to_string(link_type) + ")";
    }
  }
  return std::to_string(link_type);
}

std::optional<Option> OptionReader::Next() {
  if (reader_.remaining() < 4) return std::nullopt;
  Option option;
  option.code = reader_.Get<std::uint16_t>();
  const std::size_t length = reader_.Get<std::uint16_t>();
  if (option.code == kEndOfOptions) return std::nullopt;
  option.value = reader_.GetBytes(length);
  if (!reader_.ok()) {
    damaged_ = true;
    return std::nullopt;
  }
  reader_.Skip(std::min((4 - length % 4) % 4, reader_.remaining()));
  return option;
}

std::optional<std::uint8_t> OptionByte(const Option& option) {
  if (option.value.size() != 1) return std::nullopt;
  return option.value[0];
}

std::optional<std::uint32_t> OptionUint32(const Option& option, ByteOrder order) {
  if (option.value.size() != 4) return std::nullopt;
  return ByteReader(option.value, order).Get<std::uint32_t>();
}

std::optional<std::uint64_t> OptionUint64(const Option& option, ByteOrder order) {
  if (option.value.size() != 8) return std::nullopt;
  return ByteReader(option.value, order).Get<std::uint64_t>();
}

std::string_view OptionText(const Option& option) {
  return {reinterpret_cast<const char*>(option.value.data()), option.value.size()};
}

void BlockBuilder::PutPadded(ByteSpan bytes) {
  ByteWriter writer(body_);
  writer.PutBytes(bytes);
  writer.Pad(4);
}

void BlockBuilder::PutOption(std::uint16_t code, ByteSpan value) {
  options_ = true;
  const ByteSpan kept = value.first(std::min<std::size_t>(value.size(), 0xFFFF));
  Put(code);
  Put(static_cast<std::uint16_t>(kept.size()));
  PutPadded(kept);
}

void BlockBuilder::PutTextOption(std::uint16_t code, std::string_view text) {
  PutOption(code, {reinterpret_cast<const std::uint8_t*>(text.data()), text.size()});
}

void BlockBuilder::AppendTo(std::vector<std::uint8_t>& out) {
  if (options_) Put(std::uint32_t{0});  // opt_endofopt, length 0
  const auto length = static_cast<std::uint32_t>(body_.size() + kBlockOverhead);
  ByteWriter writer(out);
  writer.Put(type_);
  writer.Put(length);
  writer.PutBytes(body_);
  writer.Put(length);
}

}  // namespace proofdrive::output
