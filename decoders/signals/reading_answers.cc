#include "decoders/signals/reading_answers.h"

#include <algorithm>
#include <utility>

#include "decoders/model/unit_address.h"
#include "decoders/services/service_names.h"
#include "decoders/transport/passive.h"

namespace proofdrive::decoders {
namespace {

constexpr std::size_t kHeader = 3;  // service and identifier

// The data of each reading's answer as if they were a frame whose identifier is its index, so that
// they are decoded like everything else.
std::shared_ptr<const Definitions> AsFrames(const Definitions& definitions) {
  auto frames = std::make_shared<Definitions>();
  frames->signals = definitions.signals;
  for (const Reading& reading : definitions.readings) {
    FrameDefinition frame;
    frame.name = definitions.signals[reading.signal].name;
    frame.id = static_cast<std::uint32_t>(frames->frames.size());
    frame.extended = true;
    frame.signals = {reading.signal};
    frames->signals[reading.signal].frame = frame.name;
    frames->frames.push_back(std::move(frame));
  }
  return frames;
}

struct Place {
  BusAddress answer;
  std::uint16_t identifier = 0;
  std::vector<std::uint8_t> channels;  // empty: any
};

class SeenAnswers : public ReadingAnswers {
 public:
  SeenAnswers(const Definitions& definitions, std::span<const ChannelBus> channels)
      : definitions_(AsFrames(definitions)),
        passive_(AddressBookOf(&definitions),
                 [this](const SeenMessage& message) { OnMessage(message); }) {
    for (const Reading& reading : definitions.readings) {
      places_.push_back(PlaceOf(definitions, reading, channels));
    }
  }

  std::shared_ptr<const Definitions> frame_definitions() const override { return definitions_; }

  std::span<const Frame> Take(const Frame& frame) override {
    frames_.clear();
    passive_.OnFrame(frame);
    return frames_;
  }

 private:
  static Place PlaceOf(const Definitions& definitions, const Reading& reading,
                       std::span<const ChannelBus> channels) {
    const auto& units = definitions.control_units;
    const auto unit = std::find_if(units.begin(), units.end(), [&](const ControlUnit& candidate) {
      return candidate.name == reading.control_unit;
    });
    Place place;
    place.identifier = reading.identifier;
    if (unit == units.end()) return place;  // the loader has refused it
    place.answer = AddressOf(*unit).answer;
    for (const ChannelBus& channel : channels) {
      const bool on_it = unit->bus.empty() || channel.bus.empty() || channel.bus == unit->bus;
      if (on_it) place.channels.push_back(channel.channel);
    }
    return place;
  }

  static bool Fits(const Place& place, const SeenMessage& message) {
    const auto identifier = static_cast<std::uint16_t>(message.bytes[1] << 8 | message.bytes[2]);
    const auto& channels = place.channels;
    return place.answer == message.address && place.identifier == identifier &&
           (channels.empty() ||
            std::find(channels.begin(), channels.end(), message.channel) != channels.end());
  }

  void OnMessage(const SeenMessage& message) {
    const bool answer = message.problem == TransferProblem::kNone &&
                        message.bytes.size() > kHeader &&
                        message.bytes[0] == kReadByIdentifier + kAnswerBit;
    if (!answer) return;
    for (std::size_t i = 0; i < places_.size(); ++i) {
      if (Fits(places_[i], message)) frames_.push_back(Framed(i, message));
    }
  }

  static Frame Framed(std::size_t reading, const SeenMessage& message) {
    Frame frame;
    frame.time = message.ended;
    frame.channel = message.channel;
    frame.id = static_cast<std::uint32_t>(reading);
    frame.flags = kExtendedId | kFlexibleData;
    const std::size_t length = std::min(message.bytes.size() - kHeader, kMaxFdLength);
    frame.length = static_cast<std::uint8_t>(length);
    std::copy_n(message.bytes.begin() + kHeader, length, frame.data.begin());
    return frame;
  }

  const std::shared_ptr<const Definitions> definitions_;
  PassiveReassembler passive_;
  std::vector<Place> places_;  // as Definitions::readings
  std::vector<Frame> frames_;  // of the last call of Take
};

}  // namespace

std::unique_ptr<ReadingAnswers> ReadingAnswers::Create(const Definitions& definitions,
                                                       std::span<const ChannelBus> channels) {
  if (definitions.readings.empty()) return nullptr;
  return std::make_unique<SeenAnswers>(definitions, channels);
}

}  // namespace proofdrive::decoders
