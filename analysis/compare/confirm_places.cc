#include "analysis/compare/confirm_places.h"

#include <algorithm>
#include <memory>

#include "analysis/findings/findings_of.h"
#include "core/base/text.h"
#include "core/frame/frame.h"
#include "decoders/signals/decoder.h"

namespace proofdrive::analysis {
namespace {

using decoders::Definitions;
using decoders::FrameDefinition;
using decoders::FrameFaults;

bool IsRight(std::uint64_t faults, std::uint64_t frames) {
  return frames >= kFramesToConfirm &&
         static_cast<double>(faults) <= (1 - kShareToConfirm) * static_cast<double>(frames);
}

// The frame alone, described at its new place.
std::shared_ptr<const Definitions> Moved(FrameDefinition frame, const StreamName& place) {
  frame.bus.clear();
  frame.id = place.id;
  frame.mask = kMaxExtendedId;
  frame.moved_to.reset();
  frame.extended = (place.flags & kExtendedId) != 0;
  frame.page.reset();
  frame.signals.clear();
  auto definitions = std::make_shared<Definitions>();
  definitions->frames.push_back(std::move(frame));
  return definitions;
}

void Decode(const session::BlockStream& stream, decoders::Decoder& decoder) {
  std::vector<decoders::Value> values;
  Frame frame = FrameOf(stream.key);
  for (std::size_t row = 0; row < stream.rows(); ++row) {
    frame.time = stream.time(row);
    const ByteSpan payload = stream.bytes.subspan(row * stream.stride(), stream.stride());
    std::copy(payload.begin(), payload.end(), frame.data.begin());
    decoder.Decode(frame, values);
  }
}

Result<FrameFaults> FaultsAt(session::Reader& reader, const FrameDefinition& frame,
                             const StreamName& place) {
  const auto decoder =
      decoders::Decoder::Create(Moved(frame, place), ChannelBuses(reader.header()));
  for (const session::StreamInfo& stream : reader.streams()) {
    const session::Header& header = reader.header();
    const bool here = stream.key.id == place.id &&
                      (stream.key.flags & kExtendedId) == (place.flags & kExtendedId) &&
                      (stream.key.flags & (kRemote | kErrorMessage)) == 0 &&
                      ChannelLabel(header, stream.key.channel) == place.bus;
    if (!here) continue;
    RETURN_IF_ERROR(
        reader.ForEachBlock({false, {stream.key}}, [&](const session::FrameBlock& block) {
          for (const session::BlockStream& part : block.streams()) Decode(part, *decoder);
          return true;
        }));
  }
  return decoder->faults().front();
}

std::string RightIn(const char* what, std::uint64_t faults, std::uint64_t frames) {
  return std::string(what) +
         (faults == 0 ? " in all " : " in " + FormatCount(frames - faults) + " of ") +
         CountOf(frames, "frame") + " there";
}

void Judge(const FrameFaults& faults, bool checksum, bool counter, LikelyPlace& place) {
  const bool sums = checksum && IsRight(faults.checksum_faults, faults.frames);
  const bool counts =
      counter && IsRight(faults.counter_faults, faults.frames - faults.checksum_faults);
  if (checksum ? sums : counts) {
    place.fit = PlaceFit::kFits;
    const char* what = sums && counts ? "confirmed: its checksum and counter are right"
                       : sums         ? "confirmed: its checksum is right"
                                      : "confirmed: its counter is right";
    const std::uint64_t wrong =
        std::max(faults.checksum_faults, counts ? faults.counter_faults : 0);
    place.why = RightIn(what, wrong, faults.frames) + "; " + place.why;
    return;
  }
  place.fit = PlaceFit::kDoesNotFit;
  place.why = std::string(checksum ? "unlikely: its checksum" : "unlikely: its counter") +
              " is wrong there; " + place.why;
}

Status ConfirmOne(session::Reader& after, const Comparison& comparison, DefinitionChange& change) {
  const Definitions& definitions = *comparison.after.definitions;
  const auto index = definitions.FindFrame(change.frame);
  if (!index) return Status::Ok();
  FrameDefinition frame = definitions.frames[*index];
  const FrameFaults& before = comparison.before.faults[*index];
  const bool checksum = frame.checksum && IsRight(before.checksum_faults, before.frames);
  const bool counter = frame.counter && IsRight(before.counter_faults, before.frames);
  if (!checksum) frame.checksum.reset();  // it would hide the counter
  if (change.places.size() > kMostPlaces) change.places.resize(kMostPlaces);
  for (LikelyPlace& place : change.places) {
    if (!checksum && !counter) {
      place.why = "a guess that no checksum or counter confirms; " + place.why;
      continue;
    }
    ASSIGN_OR_RETURN(const FrameFaults faults, FaultsAt(after, frame, place.stream));
    Judge(faults, checksum, counter, place);
  }
  std::stable_sort(change.places.begin(), change.places.end(),
                   [](const LikelyPlace& a, const LikelyPlace& b) { return a.fit < b.fit; });
  return Status::Ok();
}

}  // namespace

Status ConfirmPlaces(session::Reader& after, Comparison& comparison) {
  for (DefinitionChange& change : comparison.definitions) {
    if (!change.places.empty()) RETURN_IF_ERROR(ConfirmOne(after, comparison, change));
  }
  return Status::Ok();
}

}  // namespace proofdrive::analysis
