// Ways to calculate a check that a survey tries. Every CRC is affine: for payloads of one length
// the CRC with start 0, combined with the check that was sent, is one constant, whatever start and
// final value were used (R. N. Williams 1993, "A painless guide to CRC error detection algorithms";
// here as in shared knowledge of the trade). Only that constant can be seen, so a model has start 0
// and a constant.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "analysis/survey/rows/found.h"
#include "core/base/bytes.h"

namespace proofdrive::analysis::survey {

// Where the check itself is: one byte, half of one, or two bytes.
struct CheckPlace {
  std::size_t byte = 0;     // the first one
  unsigned bits = 8;        // 4, 8 or 16
  unsigned lowest_bit = 0;  // 0 or 4, with 4 bits
  bool little = false;      // with 16 bits: the low byte comes first
  friend bool operator==(const CheckPlace&, const CheckPlace&) = default;
};

enum class CheckKind : std::uint8_t { kXor, kSum, kNegativeSum, kCrc, kReflectedCrc };

struct CheckModel {
  CheckPlace place;
  CheckKind kind = CheckKind::kXor;
  std::uint32_t polynomial = 0;  // CRCs, without its highest bit
  unsigned trailing = 0;         // CRCs: bytes of a number that is not sent, after the data
};

// Constant over all payloads that the model holds for: what is added to the model's result, or
// combined with it, to give the check.
std::uint32_t ConstantOf(const CheckModel& model, ByteSpan payload);

// Every model for payloads of this length, the likeliest kinds first.
std::vector<CheckModel> ModelsFor(std::size_t length);

// 0 for the plainest kind; models that fit are listed in this order.
unsigned RankOf(const CheckModel& model);
// As a proposal says it; `length` of the payloads.
ChecksumModel Named(const CheckModel& model, std::uint32_t constant, std::size_t length);
decoders::Location LocationOf(const CheckPlace& place);

}  // namespace proofdrive::analysis::survey
