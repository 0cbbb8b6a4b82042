// A snapshot as the writing thread would make it, of an invented cart.
#pragma once

#include <gtest/gtest.h>

#include <cmath>

#include "daemon/live/snapshot.h"
#include "decoders/language/loader.h"

namespace proofdrive::daemon {

inline std::shared_ptr<const decoders::Definitions> CartDefinitions() {
  const std::vector<decoders::SourceText> texts = {{"cart.yaml", R"(
vehicle: Test cart (invented)
byte order: big
buses: {pack: {bitrate: 500000}}
frames:
  loop:
    bus: pack
    id: 0x100
    every: 100 ms
    length: 8
    signals:
      level: {where: byte 0, states: {0: low, 1: good}}
      voltage: {where: bytes 1-2, scale: 0.1, unit: V, range: 0..450, role: pack voltage}
    series:
      cell: {first: byte 4, each: 1 byte, count: 3, unit: V, role: cell voltages}
warnings:
  coolant_low:
    text: Coolant level low
    when: level == low
    severity: stop
)"}};
  const auto loaded = decoders::LoadDefinitions(texts);
  EXPECT_TRUE(loaded.ok()) << decoders::FormatDiagnostics(loaded.diagnostics);
  return loaded.definitions;
}

// At 1000 s and `tenths` of a second after 1970; the warning off since then.
inline Snapshot CartSnapshot(std::shared_ptr<const decoders::Definitions> definitions, int tenths) {
  Snapshot snapshot;
  snapshot.time = WallFromNanoseconds(1'000'000'000'000) + std::chrono::milliseconds(100) * tenths;
  snapshot.sources = "test:1";
  snapshot.definitions = std::move(definitions);
  ChannelTraffic traffic;
  traffic.channel.name = "can0";
  traffic.channel.bus = "pack";
  traffic.channel.bitrate = 500000;
  traffic.frames = 7;
  snapshot.channels = {traffic};
  if (snapshot.definitions) {
    snapshot.warnings = {{decoders::WarningStateKind::kOff, snapshot.time, snapshot.time}};
  }
  return snapshot;
}

inline void AddValue(Snapshot& snapshot, std::uint32_t signal, std::uint32_t element, double number,
                     bool stale = false) {
  LatestValue latest;
  latest.value.time = snapshot.time - std::chrono::milliseconds(300);
  latest.value.signal = signal;
  latest.value.element = element;
  latest.value.number = number;
  latest.value.raw = std::isfinite(number) ? static_cast<std::int64_t>(number) : 0;
  if (!std::isfinite(number)) latest.value.validity = decoders::Validity::kAbsent;
  latest.stale = stale;
  snapshot.values.push_back(latest);
}

}  // namespace proofdrive::daemon
