#include "bench/truth/truth.h"

#include <nlohmann/json.hpp>

#include "bench/frames/buses.h"
#include "bench/frames/frame_writer.h"
#include "core/base/json.h"

namespace proofdrive::bench {
namespace {

using Json = nlohmann::ordered_json;

constexpr std::uint64_t kStepsPerSecond = 100;

bool IsSilent(const Car& car, std::string_view unit) {
  for (const std::string_view silent : car.scenario().silent_units) {
    if (silent == unit) return true;
  }
  return false;
}

// To the millisecond, so that sums of steps read well.
double Milliseconds(double seconds) {
  return static_cast<double>(RawOf(seconds, 0.001, 0, 0, 1'000'000'000)) / 1000;
}

Json WarningJson(const Car& car, const WarningTruth& truth) {
  Json set = Json::array();
  for (const OnSpan& span : truth.spans()) {
    set.push_back({{"from_s", Milliseconds(span.from_s)}, {"to_s", Milliseconds(span.to_s)}});
  }
  return {{"evidence", !IsSilent(car, truth.rule().unit)},
          {"on_at_end", truth.on()},
          {"set", set},
          {"proven", truth.proven()},
          {"proven_longest_s", Milliseconds(truth.proven_longest_s())},
          {"proven_needed_s", truth.rule().proven_for_s}};
}

Json FramesJson(const FrameCounts& counts) {
  Json frames = Json::array();
  for (const auto& [key, count] : counts) {
    frames.push_back({{"bus", key.channel == kPackBus ? "pack" : "drive"},
                      {"id", FormatId(key.id, key.flags)},
                      {"extended", (key.flags & kExtendedId) != 0},
                      {"count", count}});
  }
  return frames;
}

std::string Text(const Version& version) {
  return std::to_string(version.major) + "." + std::to_string(version.minor);
}

Json SoftwareJson(const Scenario& scenario) {
  return {{"pack_controller", Text(scenario.pack_software)},
          {"inverter", Text(scenario.inverter_software)},
          {"cluster", Text(scenario.cluster_software)}};
}

Json ChangesJson(const Scenario& scenario) {
  Json changes = Json::array();
  for (const FrameChange& change : scenario.changes) {
    Json one = {{"frame", change.frame}};
    if (change.vanishes) one["vanishes"] = true;
    if (change.new_id != 0) one["new_id"] = FormatId(change.new_id, 0);
    if (change.period_ms != 0) one["period_ms"] = change.period_ms;
    changes.push_back(one);
  }
  return changes;
}

Json CellsJson(const Car& car) {
  Json drained = Json::array();
  const CellDrain& drain = car.scenario().drain;
  for (std::size_t i = 0; i < drain.count; ++i) drained.push_back(drain.first + i + 1);
  return {{"count", kCellCount},
          {"weakest", car.cells().WeakestCell() + 1},
          {"drained", drained},
          {"spread_v", car.cells().Spread()},
          {"mean_capacity_ah", car.cells().MeanCapacityAh()}};
}

Json PrechargeJson(const Contactors& contactors) {
  return {{"ohm", kPrechargeOhm},
          {"farad", kLinkFarad},
          {"tau_s", kPrechargeOhm * kLinkFarad},
          {"closings", contactors.closings()},
          {"refusals", contactors.refusals()}};
}

}  // namespace

const std::pair<const char*, double Truth::Sample::*> Truth::kColumns[] = {
    {"insulation_ohm", &Sample::insulation_ohm},
    {"wet_ml", &Sample::wet_ml},
    {"leak_ml_min", &Sample::leak_ml_min},
    {"air_share", &Sample::air_share},
    {"coolant_litres", &Sample::coolant_litres},
    {"pack_v", &Sample::pack_v},
    {"discharge_a", &Sample::discharge_a},
    {"charge_percent", &Sample::charge_percent},
    {"spread_v", &Sample::spread_v},
    {"cells_c", &Sample::cells_c},
    {"supply_v", &Sample::supply_v},
    {"speed_kmh", &Sample::speed_kmh}};

Truth::Truth(const Car& car, std::uint64_t seed)
    : seed_(seed), first_charge_(car.cells().MeanCharge()) {
  for (const WarningRule& rule : WarningRules()) warnings_.emplace_back(rule);
}

Truth::Sample Truth::SampleOf(const Car& car) {
  return {.insulation_ohm = car.insulation().Ohm(),
          .wet_ml = car.insulation().wet_ml(),
          .leak_ml_min = car.loop().LeakRate(),
          .air_share = car.loop().AirShare(),
          .coolant_litres = car.loop().litres(),
          .pack_v = car.cells().PackVoltage(),
          .discharge_a = car.discharge_a(),
          .charge_percent = 100 * car.cells().MeanCharge(),
          .spread_v = car.cells().Spread(),
          .cells_c = car.heat().cells_c(),
          .supply_v = car.supply().voltage(),
          .speed_kmh = 3.6 * car.drive().speed_mps()};
}

void Truth::Observe(const Car& car) {
  if (observed_++ % kStepsPerSecond == 0) samples_.push_back(SampleOf(car));
  for (WarningTruth& warning : warnings_) warning.Observe(car);
  energy_out_j_ += car.discharge_a() * car.cells().PackVoltage() * kStepSeconds;
}

std::string Truth::Json(const Car& car, const FrameCounts& counts) const {
  bench::Json warnings = bench::Json::object();
  for (const WarningTruth& warning : warnings_) {
    warnings[std::string(warning.rule().name)] = WarningJson(car, warning);
  }
  bench::Json each_second = bench::Json::object();
  for (const auto& [name, field] : kColumns) {
    for (const Sample& sample : samples_) each_second[name].push_back(sample.*field);
  }
  const bench::Json charge = {{"first_percent", 100 * first_charge_},
                              {"last_percent", 100 * car.cells().MeanCharge()},
                              {"discharged_ah", car.discharged_as() / 3600},
                              {"discharged_kwh", energy_out_j_ / 3.6e6}};
  const bench::Json json = {{"invented", "simulated by the bench vehicle; no such car exists"},
                            {"vehicle", "Bramble Seven (invented)"},
                            {"scenario", car.scenario().name},
                            {"seed", seed_},
                            {"seconds", car.time_s()},
                            {"warnings", warnings},
                            {"each_second", each_second},
                            {"cells", CellsJson(car)},
                            {"charge", charge},
                            {"precharge", PrechargeJson(car.contactors())},
                            {"distance_m", car.drive().distance_m()},
                            {"software", SoftwareJson(car.scenario())},
                            {"silent_units", car.scenario().silent_units},
                            {"changes", ChangesJson(car.scenario())},
                            {"frames", FramesJson(counts)}};
  return DumpJson(json, 1) + "\n";
}

}  // namespace proofdrive::bench
