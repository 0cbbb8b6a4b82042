#include "analysis/session/bit_activity.h"

#include <algorithm>
#include <cstring>

namespace proofdrive::analysis {

void BitActivity::Add(ByteSpan payload, Duration at) {
  if (!started_) first_ = part_end_ = at;
  if (at >= part_end_) EnterPart(at);
  Mask& mask = parts_[part_];
  if (payload.size() == kUsual && last_bytes_ == kUsual) {
    AddWord(payload, mask);
  } else {
    const std::size_t both = std::min(payload.size(), last_bytes_);
    for (std::size_t i = 0; i < both; ++i) {
      mask[i] = static_cast<std::uint8_t>(mask[i] | (payload[i] ^ last_[i]));
    }
    std::copy(payload.begin(), payload.end(), last_.begin());
  }
  last_bytes_ = payload.size();
  bytes_ = std::max(bytes_, payload.size());
  started_ = true;
}

// Nearly every payload: eight bytes at once.
void BitActivity::AddWord(ByteSpan payload, Mask& mask) {
  std::uint64_t now = 0, before = 0, bits = 0;
  std::memcpy(&now, payload.data(), kUsual);
  std::memcpy(&before, last_.data(), kUsual);
  std::memcpy(&bits, mask.data(), kUsual);
  bits |= now ^ before;
  std::memcpy(mask.data(), &bits, kUsual);
  std::memcpy(last_.data(), &now, kUsual);
}

void BitActivity::EnterPart(Duration at) {
  while (static_cast<std::size_t>((at - first_) / width_) >= kMostParts) WidenParts();
  part_ = static_cast<std::size_t>((at - first_) / width_);
  part_end_ = first_ + width_ * static_cast<std::int64_t>(part_ + 1);
  if (part_ >= parts_.size()) parts_.resize(part_ + 1);
}

void BitActivity::WidenParts() {
  width_ *= 2;
  const std::size_t half = (parts_.size() + 1) / 2;
  for (std::size_t i = 0; i < half; ++i) {
    Mask merged = parts_[2 * i];
    for (std::size_t k = 0; 2 * i + 1 < parts_.size() && k < merged.size(); ++k) {
      merged[k] = static_cast<std::uint8_t>(merged[k] | parts_[2 * i + 1][k]);
    }
    parts_[i] = merged;
  }
  parts_.resize(half);
}

std::vector<std::uint8_t> BitActivity::Ever() const {
  std::vector<std::uint8_t> bits(bytes_, 0);
  for (const Mask& part : parts_) {
    for (std::size_t i = 0; i < bytes_; ++i) bits[i] = static_cast<std::uint8_t>(bits[i] | part[i]);
  }
  return bits;
}

std::vector<std::uint8_t> BitActivity::Always() const {
  std::vector<std::uint8_t> bits(bytes_, parts_.size() < kMostParts / 2 ? 0 : 0xFF);
  // The last part may just have begun.
  for (std::size_t k = 0; k + 1 < parts_.size(); ++k) {
    for (std::size_t i = 0; i < bytes_; ++i) {
      bits[i] = static_cast<std::uint8_t>(bits[i] & parts_[k][i]);
    }
  }
  return bits;
}

}  // namespace proofdrive::analysis
