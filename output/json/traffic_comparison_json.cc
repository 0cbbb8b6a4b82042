#include "output/json/traffic_comparison_json.h"

#include <nlohmann/json.hpp>

namespace proofdrive::output {
namespace {

using analysis::StreamName;

Json StreamJson(const StreamName& stream) {
  Json json;
  json["bus"] = stream.bus;
  json["id"] = FormatId(stream.id, stream.flags);
  json["extended"] = (stream.flags & kExtendedId) != 0;
  json["remote"] = (stream.flags & kRemote) != 0;
  json["frame"] = stream.frame;
  return json;
}

Json OneSidedJson(const std::vector<analysis::OneSided>& streams) {
  Json list = Json::array();
  for (const analysis::OneSided& stream : streams) {
    Json json = StreamJson(stream.stream);
    json["frames"] = stream.frames;
    json["period_ms"] = stream.frames > 1 ? Json(Milliseconds(stream.median_period)) : Json();
    json["may_be_chance"] = stream.may_be_chance;
    list.push_back(std::move(json));
  }
  return list;
}

Json BusJson(const analysis::BusFigures& bus) {
  if (!bus.there) return nullptr;
  return {{"frames", bus.frames},
          {"load", bus.load > 0 ? Figures(bus.load) : Json(nullptr)},
          {"longest_silence_ms", Milliseconds(bus.longest_silence)},
          {"intervals", bus.intervals},
          {"late", bus.late},
          {"missing", bus.missed},
          {"error_messages", bus.error_messages},
          {"bus_off", bus.bus_off}};
}

void AddStreamDetails(const analysis::TrafficComparison& traffic, Json& json) {
  json["rate"] = Json::array();
  for (const analysis::RateChange& change : traffic.rate) {
    Json one = StreamJson(change.stream);
    one["before"] = change.before;
    one["after"] = change.after;
    one["before_per_s"] = Figures(change.before_per_s);
    one["after_per_s"] = Figures(change.after_per_s);
    json["rate"].push_back(std::move(one));
  }
  json["jitter"] = Json::array();
  for (const analysis::JitterChange& change : traffic.jitter) {
    Json one = StreamJson(change.stream);
    one["spread_before_ms"] = Milliseconds(change.spread_before);
    one["spread_after_ms"] = Milliseconds(change.spread_after);
    one["distance"] = Figures(change.distance);
    json["jitter"].push_back(std::move(one));
  }
  json["bits"] = Json::array();
  for (const analysis::BitChange& change : traffic.bits) {
    Json one = StreamJson(change.stream);
    one["began"] = change.began;
    one["stopped"] = change.stopped;
    json["bits"].push_back(std::move(one));
  }
}

void AddDetails(const analysis::TrafficComparison& traffic, Json& json) {
  AddStreamDetails(traffic, json);
  json["constants"] = Json::array();
  for (const analysis::ConstantChange& change : traffic.constants) {
    Json one = StreamJson(change.stream);
    one["what"] = change.what;
    json["constants"].push_back(std::move(one));
  }
  json["moved"] = Json::array();
  for (const analysis::MovedFrame& moved : traffic.moved) {
    json["moved"].push_back(
        {{"before", StreamJson(moved.before)}, {"after", StreamJson(moved.after)}});
  }
  json["faults"] = Json::array();
  for (const analysis::FaultChange& change : traffic.faults) {
    json["faults"].push_back({{"frame", change.frame},
                              {"fault", change.fault},
                              {"before", change.before},
                              {"frames_before", change.frames_before},
                              {"after", change.after},
                              {"frames_after", change.frames_after}});
  }
  json["buses"] = Json::array();
  for (const analysis::BusChange& bus : traffic.buses) {
    json["buses"].push_back({{"bus", bus.bus},
                             {"changed", bus.reasons},
                             {"before", BusJson(bus.before)},
                             {"after", BusJson(bus.after)}});
  }
  json["silent_units"] = traffic.silent_units;
}

}  // namespace

Json TrafficJson(const analysis::TrafficComparison& traffic) {
  Json json;
  json["only_before"] = OneSidedJson(traffic.only_before);
  json["only_after"] = OneSidedJson(traffic.only_after);
  json["period"] = Json::array();
  for (const analysis::PeriodChange& change : traffic.period) {
    Json one = StreamJson(change.stream);
    one["before_ms"] = Milliseconds(change.before);
    one["after_ms"] = Milliseconds(change.after);
    json["period"].push_back(std::move(one));
  }
  json["length"] = Json::array();
  for (const analysis::LengthChange& change : traffic.length) {
    Json one = StreamJson(change.stream);
    one["before"] = LengthsJson(change.before);
    one["after"] = LengthsJson(change.after);
    json["length"].push_back(std::move(one));
  }
  AddDetails(traffic, json);
  return json;
}

}  // namespace proofdrive::output
