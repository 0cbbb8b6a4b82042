// rig_units INTERFACE: the bench vehicle's control units on a real CAN interface, behind the
// kernel's can-isotp: answers requests to single units until it is ended.
#include <poll.h>

#include <cstdio>
#include <memory>
#include <string>
#include <vector>

#include "bench/control_units/unit_node.h"
#include "bench/control_units/unit_server.h"
#include "bench/scenarios/scenarios.h"
#include "tests/rig/kernel_isotp.h"

namespace proofdrive::rig {
namespace {

struct Unit {
  KernelIsotp socket;
  std::unique_ptr<bench::UnitServer> server;
};

Status Open(const std::string& interface, std::vector<std::unique_ptr<Unit>>& units) {
  const bench::Scenario* scenario = bench::FindScenario("coolant-leak");
  for (const bench::UnitRow& row : bench::UnitTable()) {
    auto unit = std::make_unique<Unit>();
    unit->server = std::make_unique<bench::UnitServer>(row.name, *scenario);
    IsotpSettings settings;
    settings.sends = row.answer;
    settings.receives = row.request;
    settings.separation = row.separation;
    RETURN_IF_ERROR(unit->socket.Open(interface, settings));
    units.push_back(std::move(unit));
  }
  return Status::Ok();
}

void Answer(Unit& unit) {
  const auto request = unit.socket.Read(0);
  if (!request.ok()) return;
  const auto answer = unit.server->Answer(*request, false);
  if (answer.empty()) return;
  const Status written = unit.socket.Write(answer);
  if (!written.ok()) std::fprintf(stderr, "rig_units: %s\n", written.message().c_str());
}

int Run(const std::string& interface) {
  std::vector<std::unique_ptr<Unit>> units;
  if (const Status status = Open(interface, units); !status.ok()) {
    std::fprintf(stderr, "rig_units: %s\n", status.message().c_str());
    return 1;
  }
  std::vector<pollfd> waiting;
  for (const auto& unit : units) waiting.push_back({unit->socket.descriptor(), POLLIN, 0});
  while (poll(waiting.data(), waiting.size(), -1) >= 0) {
    for (std::size_t i = 0; i < units.size(); ++i) {
      if (waiting[i].revents != 0) Answer(*units[i]);
    }
  }
  return 0;
}

}  // namespace
}  // namespace proofdrive::rig

int main(int argc, char** argv) { return argc == 2 ? proofdrive::rig::Run(argv[1]) : 2; }
