#include "output/report/charts.h"

#include <cstdio>

#include "output/json.h"

namespace proofdrive::output {
namespace {

using analysis::EnvelopePoint;

// Six digits are more than a plot shows.
std::string Short(double value) {
  char text[32];
  std::snprintf(text, sizeof(text), "%.6g", value);
  return text;
}

std::string Seconds(Duration at) {
  char text[32];
  std::snprintf(text, sizeof(text), "%.2f", ToSeconds(at));
  return text;
}

// Rows of time, lowest, mean, highest; null where nothing was received.
class Columns {
 public:
  void Add(const EnvelopePoint& point) {
    Append(Seconds(point.at), Short(point.low), Short(point.mean), Short(point.high));
    flat_ = flat_ && point.low == point.high;
  }
  void Break(Duration at) { Append(Seconds(at), "null", "null", "null"); }
  std::string Json() const {
    std::string json = "\"x\":[" + x_ + "],\"y\":[" + mean_ + "]";
    if (!flat_) json += ",\"lo\":[" + low_ + "],\"hi\":[" + high_ + "]";
    return json;
  }

 private:
  void Append(const std::string& x, const std::string& low, const std::string& mean,
              const std::string& high) {
    const char* comma = x_.empty() ? "" : ",";
    x_ += comma + x;
    low_ += comma + low;
    mean_ += comma + mean;
    high_ += comma + high;
  }

  std::string x_, low_, mean_, high_;
  bool flat_ = true;
};

std::string CurveJson(const Chart& chart) {
  Columns columns;
  const Duration gap = chart.gap + chart.record->curve_step;
  Duration last{0};
  for (const EnvelopePoint& point : chart.record->curve) {
    if (point.at - last > gap && last > Duration(0)) {
      columns.Break(last + chart.record->curve_step);
    }
    columns.Add(point);
    last = point.at;
  }
  return columns.Json();
}

std::string StatesJson(const decoders::Signal& signal) {
  std::string json;
  for (const decoders::StateName& state : signal.states) {
    if (state.first != state.last) continue;
    const double value = static_cast<double>(state.first) * signal.scale + signal.offset;
    json += std::string(json.empty() ? "" : ",") + "[" + Short(value) + "," +
            ScriptString(state.name) + "]";
  }
  return "[" + json + "]";
}

template <class T, class F>
std::string List(const std::vector<T>& items, F&& text) {
  std::string json;
  for (const T& item : items) json += (json.empty() ? "" : ",") + text(item);
  return "[" + json + "]";
}

// A signal of states only: drawn in steps, its axis in words.
bool IsStates(const decoders::Signal& signal) {
  return !signal.states.empty() && signal.unit.empty();
}

std::string ChartJson(const Chart& chart, const std::string& id) {
  std::string json = "{\"id\":" + ScriptString(id) +
                     ",\"name\":" + ScriptString(chart.signal->name) +
                     ",\"unit\":" + ScriptString(chart.signal->unit) +
                     ",\"side\":" + ScriptString(chart.side) + ",\"end\":" + Seconds(chart.length) +
                     ",\"steps\":" + (IsStates(*chart.signal) ? "true" : "false");
  if (!chart.signal->states.empty()) json += ",\"states\":" + StatesJson(*chart.signal);
  if (chart.low < chart.high) {
    json += ",\"range\":[" + Short(chart.low) + "," + Short(chart.high) + "]";
  }
  json += ",\"shaded\":" + List(chart.shaded, [](const ChartSpan& span) {
            return "[" + Seconds(span.from) + "," + Seconds(span.to) + "]";
          });
  json += ",\"marks\":" + List(chart.marks, [](const ChartMark& mark) {
            return "[" + Seconds(mark.at) + "," + ScriptString(mark.text) + "]";
          });
  json += ",\"levels\":" + List(chart.levels, [](const ChartLevel& level) {
            return "[" + Short(level.value) + "," + ScriptString(level.text) + "]";
          });
  return json + "," + CurveJson(chart) + "}";
}

}  // namespace

std::string ScriptString(std::string_view text) {
  std::string out;
  for (const char c : JsonString(text)) {
    if (c == '<' || c == '>' || c == '&') {
      char escape[8];
      std::snprintf(escape, sizeof(escape), "\\u%04x", static_cast<unsigned>(c));
      out += escape;
    } else {
      out += c;
    }
  }
  return out;
}

Html Charts::Add(const Chart& chart) {
  const std::string id = "plot-" + std::to_string(++count_);
  data_ += (data_.empty() ? "" : ",\n") + ChartJson(chart, id);
  const std::string label =
      "Plot of " + chart.signal->name + (chart.side.empty() ? "" : ", " + chart.side);
  return Tag("div", {{"class", "plot"}, {"id", id}, {"role", "img"}, {"aria-label", label}}, {});
}

}  // namespace proofdrive::output
