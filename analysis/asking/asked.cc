#include "analysis/asking/asked.h"

#include <algorithm>
#include <utility>

#include "analysis/pass/pass.h"
#include "decoders/model/unit_address.h"

namespace proofdrive::analysis {
namespace {

using decoders::AddressBook;
using decoders::BusAddress;
using decoders::Conversation;
using decoders::UnitReports;

bool CarriesRequests(const session::Reader& reader, const AddressBook& book) {
  const auto& streams = reader.streams();
  return std::any_of(streams.begin(), streams.end(), [&](const session::StreamInfo& stream) {
    return book.Carries({stream.key.id, (stream.key.flags & kExtendedId) != 0});
  });
}

// Whether an identifier is for requests beyond doubt: by a standard, or because the user said so.
bool ForRequests(BusAddress address, const std::vector<decoders::NamedUnit>& named) {
  if (decoders::IsFunctional(address)) return true;
  if (address.extended) return (address.id >> 16) == 0x18DA;
  if (address.id >= decoders::kFirstPhysicalId && address.id <= decoders::kLastPhysicalId) {
    return true;
  }
  return std::any_of(named.begin(), named.end(), [&](const decoders::NamedUnit& unit) {
    return unit.address.request == address;
  });
}

AskedUnits Nothing(const session::Reader& reader) {
  AskedUnits asked;
  asked.header = reader.header();
  asked.start = reader.first_time();
  asked.length = reader.last_time() - reader.first_time();
  return asked;
}

class Listener : public AskedListener {
 public:
  Listener(const session::Reader& reader, AddressBook book, std::vector<decoders::NamedUnit> named)
      : reader_(reader),
        book_(std::move(book)),
        named_(std::move(named)),
        reports_(book_, named_),
        codes_(book_),
        tracker_(book_, [this](const Conversation& conversation) { Add(conversation); }),
        passive_(book_, [this](decoders::SeenMessage message) {
          tracker_.OnMessage(std::move(message));
        }) {}

  bool Wants(std::uint32_t id, bool extended) const override {
    return book_.Carries({id, extended});
  }
  void OnFrame(const Frame& frame) override { passive_.OnFrame(frame); }
  AskedUnits Finish() override {
    passive_.Finish();
    tracker_.Finish();
    AskedUnits asked = Nothing(reader_);
    asked.counts = reports_.counts();
    asked.requests = reports_.requests();
    asked.units = reports_.units();
    asked.silent = reports_.silent();
    asked.unasked = tracker_.unasked();
    asked.stray_frames = passive_.stray_frames();
    asked.doubtful = doubtful_;
    asked.codes = codes_.Finish();
    return asked;
  }

 private:
  void Add(const Conversation& conversation) {
    if (conversation.answers.empty() && !ForRequests(conversation.request.address, named_)) {
      ++doubtful_;
      return;
    }
    reports_.Add(conversation);
    codes_.Add(conversation);
  }

  const session::Reader& reader_;
  const AddressBook book_;
  const std::vector<decoders::NamedUnit> named_;
  UnitReports reports_;
  CodeRecorder codes_;
  decoders::ConversationTracker tracker_;
  decoders::PassiveReassembler passive_;
  std::uint64_t doubtful_ = 0;
};

class Listening : public FrameConsumer {
 public:
  explicit Listening(AskedListener& listener) : listener_(listener) {}
  bool OnFrame(const DecodedFrame& decoded) override {
    listener_.OnFrame(decoded.frame);
    return true;
  }

 private:
  AskedListener& listener_;
};

}  // namespace

bool AskedUnits::has_lists() const {
  return std::any_of(units.begin(), units.end(),
                     [](const decoders::UnitReport& unit) { return !unit.lists.empty(); });
}

std::uint64_t AskedUnits::faults() const {
  std::uint64_t sum = 0;
  for (const decoders::UnitReport& unit : units) sum += unit.faults();
  return sum;
}

std::unique_ptr<AskedListener> AskedListener::Create(const session::Reader& reader,
                                                     const DefinitionSet& set) {
  const decoders::Definitions* definitions = set.definitions.get();
  AddressBook book = decoders::AddressBookOf(definitions);
  if (!CarriesRequests(reader, book)) return nullptr;
  return std::make_unique<Listener>(reader, std::move(book), decoders::NamedUnitsOf(definitions));
}

Result<AskedUnits> AskedUnitsOf(session::Reader& reader, const DefinitionSet& set) {
  const auto listener = AskedListener::Create(reader, set);
  if (listener == nullptr) return Nothing(reader);
  Listening consumer(*listener);
  Pass pass(reader, nullptr);
  pass.Add(consumer);
  RETURN_IF_ERROR(pass.Run());
  return listener->Finish();
}

}  // namespace proofdrive::analysis
