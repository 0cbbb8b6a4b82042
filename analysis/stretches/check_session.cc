#include "analysis/stretches/check_session.h"

#include <utility>

#include "decoders/signals/frame_index.h"

namespace proofdrive::analysis {
namespace {

// How many frames of each definition came.
std::vector<std::uint64_t> CountFrames(const session::Reader& reader,
                                       const decoders::Definitions& definitions) {
  const decoders::FrameIndex index(definitions, ChannelBuses(reader.header()));
  std::vector<std::uint64_t> frames(definitions.frames.size());
  for (const session::StreamInfo& stream : reader.streams()) {
    const int frame = index.Find(stream.key);
    if (frame >= 0) frames[static_cast<std::size_t>(frame)] += stream.frames;
  }
  return frames;
}

// Of states nothing is expected: those that stay are not kept.
ExpectedValues Expected(const session::Reader& reader, const decoders::Definitions& definitions,
                        const std::vector<std::uint32_t>& signals) {
  const std::vector<std::uint64_t> frames = CountFrames(reader, definitions);
  ExpectedValues values;
  for (const std::uint32_t index : signals) {
    const decoders::Signal& signal = definitions.signals[index];
    const auto frame = definitions.FindFrame(signal.frame);
    auto expected = static_cast<double>(frame ? frames[*frame] : 0);
    if (signal.is_series && signal.count > signal.per_page) {
      expected *= static_cast<double>(signal.per_page) / signal.count;
    }
    values.of_element.push_back(signal.states.empty() ? expected : 0);
    values.all += values.of_element.back() * signal.count;
  }
  return values;
}

}  // namespace

CheckTaker::CheckTaker(const session::Reader& reader, const DefinitionSet& set,
                       const CheckSettings& settings, std::vector<session::Measurement> measured,
                       const StretchLimits& limits)
    : roles_(*set.definitions),
      checks_(roles_.Empty(), WithFacts(settings, set), std::move(measured), limits,
              Expected(reader, *set.definitions, roles_.signals())) {}

bool CheckTaker::OnEndOfStretch() {
  checks_.EndOfBlock();
  return true;
}

Result<std::vector<CheckResult>> CheckSession(session::Reader& reader, const DefinitionSet& set,
                                              const CheckSettings& settings,
                                              std::vector<session::Measurement> measured,
                                              const Pass::Progress& progress) {
  if (set.definitions == nullptr) {
    CheckInput nothing;
    nothing.measured = std::move(measured);
    return RunChecks(nothing, WithFacts(settings, set));
  }
  CheckTaker taker(reader, set, settings, std::move(measured));
  Pass pass(reader, set.definitions);
  pass.Add(taker);
  RETURN_IF_ERROR(pass.Run(progress));
  return taker.Finish();
}

}  // namespace proofdrive::analysis
