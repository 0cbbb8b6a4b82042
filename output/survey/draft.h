// A definition file from what a survey found: for the user to go on with.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "analysis/survey/meaning/answers.h"
#include "analysis/survey/rows/found.h"
#include "decoders/model/definitions.h"

namespace proofdrive::output {

// The frames of a draft, one text each, as they stand below "frames:" with two blanks before them.
struct DraftFrame {
  std::string bus;
  std::uint32_t id = 0;
  bool extended = false;
  std::string name;     // "id2A1"
  std::string text;     // the whole frame
  std::string signals;  // its signals alone, as they stand below "signals:" with six blanks
  bool has_pages = false;
};

// Signals are called by their place until an accepted answer names them; the evidence stands as a
// comment above each. Frames of which nothing is proposed are left out. `taken`: names of signals
// that a file has already.
std::vector<DraftFrame> DraftFrames(const std::vector<analysis::survey::FoundFrame>& found,
                                    const analysis::survey::Answers& answers,
                                    const std::vector<std::string>& taken);

// A whole file.
std::string NewDraft(const std::vector<DraftFrame>& frames);

// `text`, a definition file that says `definitions`, with what is new put in: signals into frames
// that are there, frames below "frames:". Nothing of it is changed or moved. What cannot be put in
// (a frame that is not written in lines of its own) is named in `left_out`.
std::string ExtendedDraft(const std::string& text, const decoders::Definitions& definitions,
                          const std::vector<DraftFrame>& frames,
                          std::vector<std::string>& left_out);

}  // namespace proofdrive::output
