#include "core/base/characters.h"

#include <gtest/gtest.h>

#include "core/base/text.h"

namespace proofdrive {
namespace {

TEST(Printable, KeepsWordsOfEveryLanguage) {
  const char* kWords[] = {"Größe 5 Ω", "日本", "\xF0\x9F\x94\x8B", "می\u200Cخواهم"};
  for (const char* word : kWords) EXPECT_EQ(Printable(word), word);
}

TEST(Printable, ReplacesWhatTurnsOrHidesText) {
  EXPECT_EQ(Printable("a\u0085b\u009B31m"), "a?b?31m");
  EXPECT_EQ(Printable("safe\u202Etxt.exe\u2066"), "safe?txt.exe?");
  EXPECT_EQ(Printable("a\u2028b\uFEFF\u200B"), "a?b??");
  EXPECT_EQ(Printable("a\U000E0041"), "a?");
}

TEST(Printable, ReplacesWhatIsNoCharacter) {
  EXPECT_EQ(Printable("\xED\xA0\x80"), "???");       // half of a surrogate pair
  EXPECT_EQ(Printable("\xE0\x82\x9B"), "???");       // U+009B in an overlong form
  EXPECT_EQ(Printable("\xF4\x90\x80\x80"), "????");  // beyond Unicode
}

TEST(IsControl, HoldsAtTheEdges) {
  for (const unsigned code : {0x1FU, 0x7FU, 0x9FU, 0x200EU, 0x202AU, 0x2069U, 0xE0001U}) {
    EXPECT_TRUE(IsControl(code)) << code;
  }
  for (const unsigned code : {0x20U, 0x7EU, 0xA0U, 0x200CU, 0x200DU, 0x2010U, 0x2070U, 0x10FFFFU}) {
    EXPECT_FALSE(IsControl(code)) << code;
  }
}

}  // namespace
}  // namespace proofdrive
