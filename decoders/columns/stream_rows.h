// All frames of one stream, decoded signal by signal with the same results as Decoder.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "decoders/columns/column_decoder.h"
#include "decoders/signals/value.h"

namespace proofdrive::decoders {

// The values of one signal, or of one element of a series. Vectors of equal length unless empty.
struct ElementColumn {
  std::vector<std::uint32_t> rows;  // those of the stream that brought a value; rising
  std::vector<double> numbers;      // as Value::number
  std::vector<Validity> validity;   // as Value::validity
  std::vector<std::int64_t> raw;    // as Value::raw; only of signals with states
  std::vector<std::string> texts;   // only of signals of text; empty where absent
};

// Looks once at what all signals of the stream need to know of its frames: whose checksum fails
// (they bring no values) and which page they carry. Immutable once made.
class StreamRows {
 public:
  // `frame`: index into Definitions::frames. `decoder` and the bytes of `column` must outlive this.
  StreamRows(const ColumnDecoder& decoder, std::uint32_t frame, const PayloadColumn& column);
  StreamRows(const StreamRows&) = delete;
  StreamRows& operator=(const StreamRows&) = delete;

  // Frames whose checksum fails.
  std::size_t unusable() const { return unusable_; }

  // What Decoder would give for element `element` (0 for a scalar) of a signal of this frame.
  // REQUIRES: decoder.HasColumn(signal).
  void Decode(std::uint32_t signal, std::uint32_t element, ElementColumn& out) const;

 private:
  // Some rows of the stream and their payloads side by side.
  struct Part {
    bool all = false;  // every row: `rows` and `copy` are not filled
    std::vector<std::uint32_t> rows;
    std::vector<std::uint8_t> copy;
    PayloadColumn column;
  };

  Part Take(const Part& from, const std::vector<std::uint32_t>& places) const;
  void LeaveOutUnusable();
  void SortByPage();
  Part WithinPage(const Part& part, const Signal& signal) const;
  void DecodeIn(const Part& part, const ValueStep* step, ElementColumn& out) const;
  void Judge(const ValueStep& step, ElementColumn& out) const;
  void ReadTexts(const Part& part, const ValueStep& step, ElementColumn& out) const;
  const ValueStep* FindStep(StepRange range, std::uint32_t signal, std::uint32_t element) const;
  const ValueStep* FindPaged(const Signal& signal, std::uint32_t index) const;

  const ColumnDecoder& decoder_;
  const FramePlan& plan_;
  std::size_t unusable_ = 0;
  Part usable_;
  std::map<std::uint64_t, Part> pages_;
};

}  // namespace proofdrive::decoders
