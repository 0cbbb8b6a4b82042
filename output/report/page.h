// The frame of every report: one HTML file that holds all it needs and never asks a network.
#pragma once

#include <span>
#include <string>
#include <vector>

#include "output/report/charts.h"
#include "output/sheet/html.h"
#include "output/words/cautions.h"

namespace proofdrive::output {

// A part of a report with a heading; left out when its body is empty.
struct Section {
  std::string id;
  std::string heading;
  Html body;
};

struct ReportPage {
  std::string title;   // of the window
  std::string kicker;  // small line above the answer: what was asked
  std::string answer;  // the answer in one sentence
  Html facts;          // below the answer
  std::vector<Section> sections;
  std::string footer;  // who made it and when
};

// The whole file, on screens with a table of contents. `charts` may be empty; then no script is in
// it.
std::string FormatPage(const ReportPage& page, const Charts& charts);

// The one caution that fits, with what it rests on; the others are in CautionSection.
Html CautionBox(std::span<const CautionTopic> topics);
Section CautionSection(const std::vector<Caution>& all, std::span<const CautionTopic> topics);

// <ul> of items, each already HTML.
Html List(const std::vector<Html>& items);

}  // namespace proofdrive::output
