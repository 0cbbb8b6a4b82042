#include "output/sheet/table.h"

#include <gmock/gmock.h>

namespace proofdrive::output {
namespace {

using ::testing::ElementsAre;

TEST(Wrap, BreaksAtBlanksWithinTheWidth) {
  EXPECT_THAT(Wrap("one two three four", 9), ElementsAre("one two", "three", "four"));
  EXPECT_THAT(Wrap("one two", 7), ElementsAre("one two"));
}

TEST(Wrap, LongWordGetsALineOfItsOwn) {
  EXPECT_THAT(Wrap("a unbreakable b", 5), ElementsAre("a", "unbreakable", "b"));
}

TEST(Wrap, EmptyTextIsOneEmptyLine) { EXPECT_THAT(Wrap("", 10), ElementsAre("")); }

TEST(Wrap, UnitStaysWithItsNumber) {
  EXPECT_THAT(Wrap("held for 60 s, then", 11), ElementsAre("held for", "60 s, then"));
  EXPECT_THAT(Wrap("held for 3 min 05 s", 11), ElementsAre("held for", "3 min 05 s"));
  // "s" after a word that is no number is a word like any other.
  EXPECT_THAT(Wrap("unit is s", 7), ElementsAre("unit is", "s"));
}

TEST(Paragraph, IndentsAllLinesButTheFirst) {
  EXPECT_EQ(Paragraph("- ", "one two three", 9), "- one two\n  three\n");
}

TEST(CharacterCount, CountsCharactersNotBytes) {
  EXPECT_EQ(CharacterCount("\xC2\xB0"
                           "C"),
            2U);
}

TEST(Table, AlignsColumnsAndWrapsTheLast) {
  Table table({{"NAME"}, {"COUNT", Table::Align::kRight}, {"WHY"}});
  table.Add({"a", "7", "short"});
  table.Add({"longer", "1,234", "one two three four five six seven"});
  EXPECT_EQ(table.Format(40),
            "NAME    COUNT  WHY\n"
            "a           7  short\n"
            "longer  1,234  one two three four five\n"
            "               six seven\n");
}

TEST(Table, NumbersInTheLastColumnAreNotWrapped) {
  Table table({{"NAME"}, {"COUNT", Table::Align::kRight}});
  table.Add({"a", "1"});
  table.Add({"b", "20"});
  EXPECT_EQ(table.Format(10), "NAME  COUNT\na         1\nb        20\n");
}

TEST(Table, LinesHaveNoBlanksAtTheEnd) {
  Table table({{"A"}, {"B"}});
  table.Add({"long cell", ""});
  EXPECT_EQ(table.Format(), "A          B\nlong cell\n");
}

TEST(Table, WhatCameFromOutsideCannotActOnATerminal) {
  Table table({{"SIGNAL"}, {"UNIT"}, {"REMARKS"}});
  table.Add({"a", "V\x1B[31m", "b\u202Ec"});
  EXPECT_EQ(table.Format(), "SIGNAL  UNIT    REMARKS\na       V?[31m  b?c\n");
  EXPECT_EQ(Paragraph("\u009B2J", "x\ny"), "?2Jx?y\n");
}

}  // namespace
}  // namespace proofdrive::output
