#include "analysis/survey/protection/check_by_counter.h"

#include <algorithm>
#include <map>
#include <set>

#include "analysis/survey/protection/check_models.h"
#include "decoders/model/checksums.h"

namespace proofdrive::analysis::survey {
namespace {

constexpr double kLeastShare = 0.99;
constexpr std::size_t kMostTried = 20000;
constexpr std::size_t kLeastExtra = 5;  // payloads beyond the first of each class: 40 bits

std::vector<std::uint32_t> CounterValues(const PayloadRows& rows, const FoundCounter& counter) {
  std::vector<std::uint32_t> values(rows.size(), 0);
  for (std::size_t row = 0; row < rows.size(); ++row) {
    for (const decoders::Piece& piece : counter.location.pieces) {
      const unsigned part =
          (rows.row(row)[piece.byte] >> piece.lowest_bit) & ((1U << piece.count) - 1U);
      values[row] = values[row] << piece.count | part;
    }
  }
  return values;
}

struct Classes {
  std::vector<std::uint32_t> constants;
  double share = 0;
  std::size_t extra = 0;  // different payloads beyond the first one of each class
};

// The constant of each class of rows and the share of rows that have it.
Classes ConstantsBy(const CheckModel& model, const PayloadRows& rows,
                    const std::vector<std::uint32_t>& values, std::size_t count) {
  std::vector<std::map<std::uint32_t, std::size_t>> counts(count);
  std::vector<std::set<std::vector<std::uint8_t>>> payloads(count);
  const std::size_t step = std::max<std::size_t>(1, rows.size() / kMostTried);
  std::size_t tried = 0;
  std::size_t kinds = 0;
  for (std::size_t row = 0; row < rows.size(); row += step, ++tried) {
    const std::size_t at = values[row] % count;
    kinds += ++counts[at][ConstantOf(model, rows.row(row))] == 1 ? 1U : 0U;
    if (tried < 256 && kinds > 2 * count + 2) return {};  // does not hold: given up early
    const ByteSpan payload = rows.row(row);
    if (payloads[at].size() < 8) payloads[at].emplace(payload.begin(), payload.end());
  }
  Classes result;
  std::size_t holds = 0;
  for (std::size_t i = 0; i < count; ++i) {
    const auto most =
        std::max_element(counts[i].begin(), counts[i].end(),
                         [](const auto& a, const auto& b) { return a.second < b.second; });
    result.constants.push_back(most == counts[i].end() ? 0 : most->first);
    holds += most == counts[i].end() ? 0 : most->second;
    result.extra += payloads[i].empty() ? 0 : payloads[i].size() - 1;
  }
  result.share = static_cast<double>(holds) / static_cast<double>(std::max<std::size_t>(1, tried));
  return result;
}

bool Holds(const Classes& classes) {
  return classes.share >= kLeastShare && classes.extra >= kLeastExtra;
}

// Profile 2: start and final value 0xFF, the data id as one byte more at the end.
std::vector<std::uint32_t> DataIdsOfProfile2(const std::vector<std::uint32_t>& constants,
                                             std::size_t length) {
  const auto table = decoders::MakeCrc8Table(0x2F);
  std::uint8_t value = 0xFF;
  for (std::size_t i = 0; i + 1 < length; ++i) value = table[value];
  std::vector<std::uint32_t> ids;
  for (const std::uint32_t constant : constants) {
    for (unsigned id = 0; id < 256; ++id) {
      if ((table[value ^ id] ^ 0xFFU) == constant) ids.push_back(id);
    }
  }
  return ids;
}

// Profile 1: start and final value 0, one byte of the data id before the data.
std::vector<std::uint32_t> DataIdOfProfile1(const std::vector<std::uint32_t>& constants,
                                            std::size_t length) {
  const auto table = decoders::MakeCrc8Table(0x1D);
  std::vector<std::uint32_t> bytes;
  for (const std::uint32_t constant : constants) {
    for (unsigned id = 0; id < 256; ++id) {
      std::uint8_t value = table[id];
      for (std::size_t i = 0; i + 1 < length; ++i) value = table[value];
      if (value == constant) bytes.push_back(id);
    }
  }
  return bytes;
}

FoundChecksum Propose(const CheckModel& model, const Classes& classes, const PayloadRows& rows) {
  FoundChecksum found;
  found.location = LocationOf(model.place);
  found.last_byte = static_cast<unsigned>(rows.stride) - 1;
  found.share = classes.share;
  found.payloads = classes.extra + classes.constants.size();
  ChecksumModel named;
  named.polynomial = model.polynomial;
  if (classes.constants.size() == 2) {
    const auto bytes = DataIdOfProfile1(classes.constants, rows.stride);
    named.kind = "e2e-profile-1 alternating";
    named.constant = bytes[1] << 8 | bytes[0];
  } else {
    named.kind = "e2e-profile-2";
    named.by_counter = DataIdsOfProfile2(classes.constants, rows.stride);
  }
  found.models.push_back(named);
  return found;
}

}  // namespace

std::optional<FoundChecksum> FindChecksumByCounter(const PayloadRows& rows,
                                                   const FoundCounter& counter,
                                                   const BitCounts& flips) {
  const std::vector<std::uint32_t> values = CounterValues(rows, counter);
  for (std::size_t byte = 0; byte < rows.stride; ++byte) {
    std::uint32_t moving = 0;
    for (std::size_t bit = 0; bit < 8; ++bit) moving += flips[8 * byte + bit] > 0 ? 1U : 0U;
    if (moving < 6) continue;
    const CheckPlace place{byte, 8, 0, false};
    const CheckModel profile1{place, CheckKind::kCrc, 0x1D, 0};
    const CheckModel profile2{place, CheckKind::kCrc, 0x2F, 1};
    if (const Classes classes = ConstantsBy(profile1, rows, values, 2); Holds(classes)) {
      return Propose(profile1, classes, rows);
    }
    if (counter.counts_to != 15) continue;
    if (const Classes classes = ConstantsBy(profile2, rows, values, 16); Holds(classes)) {
      return Propose(profile2, classes, rows);
    }
  }
  return std::nullopt;
}

}  // namespace proofdrive::analysis::survey
