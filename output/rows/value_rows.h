// Decoded values as rows of text: CSV (RFC 4180 quoting, lines end in LF) and JSON lines.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

#include "decoders/model/definitions.h"
#include "decoders/signals/value.h"

namespace proofdrive::output {

// The field as it stands in a CSV file: quoted when it has a comma or a quote. Made
// Printable: rows go to terminals, too.
std::string CsvField(std::string_view text);

// Appends rows to a text. Names are prepared once, so that a row costs no allocation.
class ValueRows {
 public:
  enum class Form { kCsv, kJsonLines };
  ValueRows(const decoders::Definitions& definitions, Form form);

  // "time_s,signal,value,unit,state" and a line break for CSV, nothing for JSON lines.
  void AppendHeader(std::string& out) const;
  // time_s: seconds since 1970-01-01 UTC with 6 decimals. A value that is absent has no number
  // (an empty field; null in JSON). Numbers have up to 12 significant digits, so that 4002 * 0.1 is
  // 400.2; those of signals with more than 36 bits, and of 64-bit floats, have all.
  // `text`: what a valid value of a signal of text says (decoders::TextOf). It stands in the column
  // `state`, and there is no number.
  void AppendRow(const decoders::Value& value, std::string_view text, std::string& out) const;

 private:
  struct Prepared {
    std::vector<std::string> names;   // one per element, ready to print
    std::string unit;                 // ready to print
    std::vector<std::string> states;  // one per Signal::states, ready to print
    int digits = 0;                   // of a number; 0 = as many as it takes to read it back
  };
  std::string Quoted(std::string_view text) const;
  const std::string& State(const decoders::Value& value) const;
  void AppendState(const decoders::Value& value, std::string_view text, std::string& out) const;
  void AppendCsv(const decoders::Value& value, std::string_view text, std::string& out) const;
  void AppendJson(const decoders::Value& value, std::string_view text, std::string& out) const;

  const decoders::Definitions& definitions_;
  Form form_;
  std::string absent_, out_of_range_, nothing_;  // ready to print
  std::vector<Prepared> prepared_;               // one per signal
};

}  // namespace proofdrive::output
