// What a command takes on its command line, apart from how it is parsed: the library that parses is
// known to tool.cc alone.
#pragma once

#include <deque>
#include <string>
#include <variant>
#include <vector>

namespace proofdrive::tools {

// The place of an option whose value may be left out: "--json" or "--json FILE".
struct OptionalText {
  bool given = false;
  std::string value;
};

// One option or word of a command. Built by OptionList; the setters say more about it.
class Option {
 public:
  // What it is written to.
  using Place = std::variant<std::string*, std::vector<std::string>*, OptionalText*, bool*>;

  Option(std::string its_name, Place its_place, std::string its_meaning)
      : name(std::move(its_name)), place(its_place), meaning(std::move(its_meaning)) {}

  Option& Required() { return required = true, *this; }
  // One value is a list: "a,b".
  Option& SeparatedBy(char character) { return separator = character, *this; }
  Option& OneOf(std::vector<std::string> words) { return choices = std::move(words), *this; }
  // What stands for the value in --help: "TIME".
  Option& Called(std::string value) { return value_name = std::move(value), *this; }

  // A word without "--" in front of it, known by its place.
  bool is_word() const { return !name.starts_with("--"); }

  std::string name;  // "--json", or "SESSION" for a word
  Place place;
  std::string meaning;
  bool required = false;
  char separator = 0;  // 0: one value is one value
  std::vector<std::string> choices;
  std::string value_name;  // empty: TEXT
};

class OptionList {
 public:
  // A list of words or of values (the option may be given again), one value, one that may be left
  // out, or a switch. `place` must outlive the list, and the reference lasts as long as the list.
  Option& Add(std::string name, Option::Place place, std::string meaning) {
    return options_.emplace_back(std::move(name), place, std::move(meaning));
  }

  // A command below this one; exactly one of those must be given. `chosen`: whether it was; must
  // outlive the list.
  OptionList& AddCommand(std::string name, bool& chosen, std::string summary, std::string example);

  struct Below;
  const std::deque<Option>& options() const { return options_; }
  const std::deque<Below>& commands() const { return commands_; }

 private:
  // Deques, so that references stay valid.
  std::deque<Option> options_;
  std::deque<Below> commands_;
};

struct OptionList::Below {
  std::string name;
  bool* chosen;
  std::string summary;
  std::string example;  // a command line that works, shown by its --help
  OptionList options;
};

inline OptionList& OptionList::AddCommand(std::string name, bool& chosen, std::string summary,
                                          std::string example) {
  Below below{std::move(name), &chosen, std::move(summary), std::move(example), {}};
  commands_.push_back(std::move(below));
  return commands_.back().options;
}

}  // namespace proofdrive::tools
