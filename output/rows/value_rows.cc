#include "output/rows/value_rows.h"

#include <charconv>
#include <cmath>

#include "core/base/json.h"
#include "core/base/text.h"
#include "output/words/signal_words.h"

namespace proofdrive::output {
namespace {

// Twelve digits are more than any scaled signal of up to 36 bits resolves.
constexpr int kDigits = 12;
constexpr unsigned kMaxRoundedBits = 36;

int DigitsFor(const decoders::Signal& signal) {
  const bool exact =
      signal.encoding == decoders::Encoding::kFloat64 || signal.location.bits() > kMaxRoundedBits;
  return exact ? 0 : kDigits;
}

void AppendNumber(double number, int digits, std::string& out) {
  char text[40];
  const auto [end, error] = digits == 0 ? std::to_chars(text, text + sizeof(text), number)
                                        : std::to_chars(text, text + sizeof(text), number,
                                                        std::chars_format::general, digits);
  if (error == std::errc()) out.append(text, end);
}

// Same digits as FormatEpochSeconds for times since 1970, without its allocations.
void AppendTime(WallTime time, std::string& out) {
  const std::int64_t ns = ToNanoseconds(time);
  if (ns < 0) {
    out += FormatEpochSeconds(time);
    return;
  }
  char text[40];
  const auto end = std::to_chars(text, text + sizeof(text), ns / 1'000'000'000).ptr;
  out.append(text, end);
  out += '.';
  std::int64_t micros = ns % 1'000'000'000 / 1000;
  char digits[6];
  for (int i = 5; i >= 0; --i, micros /= 10) digits[i] = static_cast<char>('0' + micros % 10);
  out.append(digits, sizeof(digits));
}

}  // namespace

std::string CsvField(std::string_view outside) {
  const std::string text = Printable(outside);
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char c : text) {
    if (c == '"') quoted += '"';
    quoted += c;
  }
  return quoted + "\"";
}

ValueRows::ValueRows(const decoders::Definitions& definitions, Form form)
    : definitions_(definitions),
      form_(form),
      absent_(Quoted(kAbsentWord)),
      out_of_range_(Quoted(kOutOfRangeWord)),
      nothing_(Quoted("")) {
  for (const decoders::Signal& signal : definitions.signals) {
    Prepared prepared;
    for (std::uint32_t element = 0; element < signal.count; ++element) {
      prepared.names.push_back(Quoted(ElementName(signal, element)));
    }
    prepared.unit = Quoted(signal.unit);
    prepared.digits = DigitsFor(signal);
    for (const decoders::StateName& state : signal.states) {
      prepared.states.push_back(Quoted(state.name));
    }
    prepared_.push_back(std::move(prepared));
  }
}

std::string ValueRows::Quoted(std::string_view text) const {
  return form_ == Form::kCsv ? CsvField(text) : JsonString(text);
}

const std::string& ValueRows::State(const decoders::Value& value) const {
  if (value.validity == decoders::Validity::kAbsent) return absent_;
  const int state = StateIndex(definitions_.signals[value.signal], value.raw);
  if (state >= 0) return prepared_[value.signal].states[static_cast<std::size_t>(state)];
  return value.validity == decoders::Validity::kOutOfRange ? out_of_range_ : nothing_;
}

void ValueRows::AppendHeader(std::string& out) const {
  if (form_ == Form::kCsv) out += "time_s,signal,value,unit,state\n";
}

void ValueRows::AppendRow(const decoders::Value& value, std::string_view text,
                          std::string& out) const {
  if (form_ == Form::kCsv) {
    AppendCsv(value, text, out);
  } else {
    AppendJson(value, text, out);
  }
}

void ValueRows::AppendState(const decoders::Value& value, std::string_view text,
                            std::string& out) const {
  const decoders::Signal& signal = definitions_.signals[value.signal];
  if (signal.encoding == decoders::Encoding::kText &&
      value.validity == decoders::Validity::kValid) {
    out += Quoted(text);
  } else {
    out += State(value);
  }
}

void ValueRows::AppendCsv(const decoders::Value& value, std::string_view text,
                          std::string& out) const {
  const Prepared& prepared = prepared_[value.signal];
  AppendTime(value.time, out);
  out += ',';
  out += prepared.names[value.element];
  out += ',';
  if (!std::isnan(value.number)) AppendNumber(value.number, prepared.digits, out);
  out += ',';
  out += prepared.unit;
  out += ',';
  AppendState(value, text, out);
  out += '\n';
}

void ValueRows::AppendJson(const decoders::Value& value, std::string_view text,
                           std::string& out) const {
  const Prepared& prepared = prepared_[value.signal];
  const bool number = value.validity != decoders::Validity::kAbsent && std::isfinite(value.number);
  out += "{\"time_s\":";
  AppendTime(value.time, out);
  out += ",\"signal\":";
  out += prepared.names[value.element];
  out += ",\"value\":";
  if (number) {
    AppendNumber(value.number, prepared.digits, out);
  } else {
    out += "null";
  }
  out += ",\"unit\":";
  out += prepared.unit;
  out += ",\"state\":";
  AppendState(value, text, out);
  out += "}\n";
}

}  // namespace proofdrive::output
