// Text that is HTML. Whatever comes from outside (a name, a note, a path) is escaped because there
// is no other way to get it in.
#pragma once

#include <initializer_list>
#include <string>
#include <string_view>
#include <vector>

namespace proofdrive::output {

class Html {
 public:
  Html() = default;
  // Any text: markup characters are escaped, control characters and invalid UTF-8 replaced.
  static Html Text(std::string_view text);
  // Words of the program itself. A literal, so that nothing from outside can be given.
  template <std::size_t N>
  static Html Markup(const char (&literal)[N]) {
    return FromTrusted({literal, N - 1});
  }
  // Text made by the program that is markup already, such as numbers of a drawing.
  static Html FromTrusted(std::string_view markup);

  Html& operator+=(const Html& other) {
    text_ += other.text_;
    return *this;
  }
  friend Html operator+(Html a, const Html& b) {
    a += b;
    return a;
  }
  bool empty() const { return text_.empty(); }
  const std::string& str() const { return text_; }

 private:
  std::string text_;
};

// The value is escaped.
struct Attribute {
  const char* name;
  std::string value;
};

// <name attributes>inner</name>
Html Tag(const char* name, std::initializer_list<Attribute> attributes, const Html& inner);
inline Html Tag(const char* name, const Html& inner) { return Tag(name, {}, inner); }
inline Html Tag(const char* name, std::string_view text) { return Tag(name, Html::Text(text)); }

// With a capital letter, as a sentence begins.
std::string Capital(std::string text);

// A table with a head; it may be wider than a phone and then scrolls by itself.
class HtmlTable {
 public:
  explicit HtmlTable(std::vector<std::string> titles) : titles_(std::move(titles)) {}
  // REQUIRES: as many cells as titles.
  void Add(std::vector<Html> cells) { rows_.push_back(std::move(cells)); }
  bool empty() const { return rows_.empty(); }
  Html Format() const;

 private:
  std::vector<std::string> titles_;
  std::vector<std::vector<Html>> rows_;
};

}  // namespace proofdrive::output
