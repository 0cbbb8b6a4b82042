// The frame of every report: one HTML file that holds all it needs and never asks a network.
#pragma once

#include <string>
#include <vector>

#include "output/report/charts.h"
#include "output/sheet/html.h"
#include "output/words/cautions.h"

namespace proofdrive::output {

struct ReportPage {
  std::string title;   // of the window
  std::string kicker;  // small line above the answer: what was asked
  std::string answer;  // the answer in one sentence
  Html facts;          // below the answer
  Html body;           // sections
  std::string footer;  // who made it and when
};

// The whole file. `charts` may be empty; then no script is in it.
std::string FormatPage(const ReportPage& page, const Charts& charts);

// <section> with a heading; nothing when `body` is empty.
Html Section(const std::string& id, const std::string& heading, const Html& body);

// The cautions with what each rests on.
Html CautionBox(CautionContext context);
Html CautionBox(const std::vector<Caution>& cautions);

// <ul> of items, each already HTML.
Html List(const std::vector<Html>& items);

}  // namespace proofdrive::output
