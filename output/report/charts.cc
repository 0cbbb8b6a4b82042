#include "output/report/charts.h"

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <utility>

#include "core/base/json.h"

namespace proofdrive::output {
namespace {

using analysis::EnvelopePoint;

// Six digits are more than a plot shows. JSON has no infinity.
std::string Short(double value) {
  if (!std::isfinite(value)) return "null";
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

const char* KindOf(const analysis::Curve& curve) {
  switch (curve.shape) {
    case analysis::CurveShape::kPoints:
      return "points";
    case analysis::CurveShape::kBars:
      return "bars";
    case analysis::CurveShape::kLine:
      break;
  }
  return curve.x_unit == "s" ? "time" : "line";
}

// Room for whole bars, or for points at the edge.
std::pair<double, double> SpanOf(const analysis::Curve& curve) {
  const double first = curve.x.front();
  const double last = curve.x.back();
  if (curve.shape == analysis::CurveShape::kBars) return {first - 0.6, last + 0.6};
  if (curve.shape == analysis::CurveShape::kLine && last > first) return {first, last};
  const double room = last > first ? 0.05 * (last - first) : std::max(1.0, 0.05 * std::fabs(last));
  return {first - room, last + room};
}

std::string CheckCurveJson(const analysis::Curve& curve, const std::string& id) {
  const auto [from, to] = SpanOf(curve);
  std::string json = "{\"id\":" + ScriptString(id) + ",\"name\":" + ScriptString(curve.y_name) +
                     ",\"unit\":" + ScriptString(curve.y_unit) + ",\"kind\":\"" + KindOf(curve) +
                     "\",\"xname\":" + ScriptString(curve.x_name) +
                     ",\"xunit\":" + ScriptString(curve.x_unit) + ",\"span\":[" + Short(from) +
                     "," + Short(to) + "],\"steps\":false,\"shaded\":[],\"marks\":[]";
  json += ",\"levels\":" + List(curve.levels, [](const analysis::CurveLevel& level) {
            return "[" + Short(level.y) + "," + ScriptString(level.name) + "]";
          });
  json += ",\"marked\":" + List(curve.marked, Short);
  if (!curve.expected.empty()) {
    json += ",\"expected\":" + List(curve.expected, Short) +
            ",\"expectedName\":" + ScriptString(curve.expected_name);
  }
  return json + ",\"x\":" + List(curve.x, Short) + ",\"y\":" + List(curve.y, Short) + "}";
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
  Keep(ChartJson(chart, NextId()));
  return Place("Plot of " + chart.signal->name + (chart.side.empty() ? "" : ", " + chart.side));
}

Html Charts::Add(const analysis::Curve& curve) {
  Keep(CheckCurveJson(curve, NextId()));
  return Place("Plot of " + curve.name);
}

void Charts::Keep(const std::string& json) { data_ += (data_.empty() ? "" : ",\n") + json; }

Html Charts::Place(const std::string& label) {
  const std::string id = NextId();
  ++count_;
  return Tag("div", {{"class", "plot"}, {"id", id}, {"role", "img"}, {"aria-label", label}}, {});
}

}  // namespace proofdrive::output
