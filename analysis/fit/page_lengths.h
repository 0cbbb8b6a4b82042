// Frames that end before what their page carries: told apart from pages that never came.
#pragma once

#include <cstdint>
#include <vector>

#include "core/frame/frame.h"
#include "decoders/model/definitions.h"
#include "decoders/signals/extract.h"

namespace proofdrive::analysis {

class PageLengths {
 public:
  // `definitions` must outlive this.
  explicit PageLengths(const decoders::Definitions& definitions);

  // Adds 1 to too_short[signal] for every signal and series that the page of this frame carries but
  // that reaches beyond its end. `frame_definition`: index into Definitions::frames.
  void Count(const Frame& frame, std::size_t frame_definition,
             std::vector<std::uint64_t>& too_short) const;

 private:
  struct Number {
    decoders::Extract where;
    std::uint64_t page = 0;
  };
  // One signal or one element place of a series.
  struct Part {
    std::uint32_t signal = 0;
    std::size_t needed = 0;        // bytes
    std::vector<Number> numbers;   // of a signal: its pages, outermost first
    std::uint64_t first_page = 0;  // of a series: the pages that fill this place
    std::uint64_t last_page = 0;
  };
  struct PagedFrame {
    decoders::Extract page;
    std::size_t longest = 0;  // of all parts
    std::vector<Part> parts;  // those of one signal side by side
  };

  void AddSignal(const decoders::Signal& signal, std::uint32_t index, PagedFrame& frame);
  void AddSeries(const decoders::Signal& signal, std::uint32_t index, PagedFrame& frame) const;
  bool Carries(const Part& part, std::uint64_t page, const Frame& frame) const;

  std::vector<PagedFrame> frames_;  // one per Definitions::frames; no parts: without pages
  std::vector<decoders::Piece> pieces_;
};

}  // namespace proofdrive::analysis
