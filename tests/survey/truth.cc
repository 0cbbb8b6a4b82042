#include "tests/survey/truth.h"

#include <cstdio>
#include <cstdlib>

#include "bench/vehicle.h"
#include "core/base/posix_files.h"
#include "decoders/language/loader.h"
#include "tests/support/places.h"

namespace proofdrive::survey_tests {
namespace {

using analysis::survey::ChecksumModel;

void AddSignal(const decoders::Signal& signal, TrueFrame& frame) {
  const bool is_signed = signal.encoding == decoders::Encoding::kSigned;
  if (!signal.is_series) {
    frame.fields.push_back({signal.location, signal.page, is_signed});
    return;
  }
  for (std::uint32_t i = 0; i < signal.count; ++i) {
    std::optional<std::uint64_t> page;
    if (frame.selector) page = signal.first_page + i / signal.per_page;
    frame.fields.push_back({signal.elements[i % signal.per_page], page, is_signed});
  }
}

ChecksumModel ModelOf(const decoders::ChecksumRule& rule) {
  ChecksumModel model;
  model.kind = rule.kind;
  if (rule.kind == "crc-8-sae-j1850") model.polynomial = 0x1D;
  if (rule.kind == "crc-8-h2f") model.polynomial = 0x2F;
  return model;
}

std::shared_ptr<const decoders::Definitions> BenchDefinitions() {
  PosixFiles files;
  const std::vector<std::string> paths = {
      testing::SourcePath("decoders/library/bramble-seven.yaml")};
  return decoders::LoadDefinitionFiles(files, paths).definitions;
}

}  // namespace

std::vector<TrueFrame> TruthOf(const decoders::Definitions& definitions) {
  std::vector<TrueFrame> truth;
  for (const decoders::FrameDefinition& definition : definitions.frames) {
    TrueFrame frame;
    frame.bus = definition.bus;
    frame.id = definition.id;
    frame.extended = definition.extended;
    frame.selector = definition.page;
    if (definition.counter) {
      frame.counter = {definition.counter->location, definition.counter->counts_to, 1};
    }
    if (definition.checksum) {
      frame.checksum = definition.checksum->location;
      frame.model = ModelOf(*definition.checksum);
    }
    for (const std::uint32_t signal : definition.signals) {
      AddSignal(definitions.signals[signal], frame);
    }
    truth.push_back(frame);
    if (!definition.moved_to) continue;
    frame.id = *definition.moved_to;
    truth.push_back(frame);
  }
  return truth;
}

Recording BenchRecording(const std::string& scenario, std::uint64_t seed, double seconds) {
  bench::VehicleOptions options;
  options.scenario = scenario;
  options.seed = seed;
  options.start = WallTime(std::chrono::hours(24 * 365 * 50));
  auto vehicle = bench::Vehicle::Create(options);
  const auto definitions = BenchDefinitions();
  if (!vehicle.ok() || definitions == nullptr) {
    std::printf("the bench vehicle cannot tell %s\n", scenario.c_str());
    std::exit(2);
  }
  analysis::survey::IdentifierCollector collector;
  std::vector<Frame> frames;
  (*vehicle)->Run(FromSeconds(seconds), frames);
  for (const Frame& frame : frames) {
    collector.Add(frame.channel == 0 ? "pack" : "drive", frame);
  }
  return {collector.Take(), TruthOf(*definitions)};
}

}  // namespace proofdrive::survey_tests
