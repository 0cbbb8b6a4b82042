// Any frames on identifiers of requests and answers: reassembly, pairing and parsing must end, keep
// within their limits, and give no more message bytes than frames carried. The input is a row of
// frames: channel and identifier (2 bytes), time step in 10 ms, length, data.
#include <algorithm>
#include <cstddef>
#include <cstdint>
#include <cstdlib>

#include "decoders/services/unit_reports.h"
#include "decoders/transport/receiver.h"
#include "decoders/transport/sender.h"

namespace {

using namespace proofdrive;            // NOLINT
using namespace proofdrive::decoders;  // NOLINT

void Check(bool holds) {
  if (!holds) std::abort();
}

bool NextFrame(ByteReader& reader, WallTime& now, Frame& frame) {
  const auto id = reader.Get<std::uint16_t>();
  now += std::chrono::milliseconds(10) * reader.Get<std::uint8_t>();
  const std::size_t length =
      std::min<std::size_t>(reader.Get<std::uint8_t>() % 65, reader.remaining());
  const ByteSpan data = reader.GetBytes(length);
  if (!reader.ok()) return false;
  frame = Frame();
  frame.time = now;
  frame.channel = static_cast<std::uint8_t>(id >> 15);
  frame.id = (id & 0x4000) != 0 ? 0x18DA0000U | (id & 0x3FFF) : 0x700U | (id & 0xFF);
  frame.flags = (id & 0x4000) != 0 ? kExtendedId : 0;
  frame.length = static_cast<std::uint8_t>(length);
  std::copy(data.begin(), data.end(), frame.data.begin());
  return true;
}

// Both ends of a transfer, fed with the same bytes: they may fail, never hang.
void FeedActive(Sender& sender, Receiver& receiver, const Frame& frame, SteadyTime now) {
  for (int i = 0; i < 64; ++i) {
    const auto sent = sender.Next(now);
    if (!sent) break;
    Check(!sent->empty() && sent->size() <= 64);
    sender.OnSent(now);
  }
  sender.OnFrame(frame.payload(), now);
  sender.Advance(now);
  receiver.OnFrame(frame.payload(), now);
  if (receiver.Next(now)) receiver.OnSent(now);
  receiver.Advance(now);
  while (const auto message = receiver.Take()) Check(message->bytes.size() <= 0xFFFF);
}

}  // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
  AddressBook book;
  UnitReports reports(book, {{"unit", {{0x7E5, false}, {0x7ED, false}}}});
  std::size_t carried = 0;
  std::size_t delivered = 0;
  ConversationTracker tracker(book,
                              [&](const Conversation& conversation) { reports.Add(conversation); });
  PassiveReassembler passive(book, [&](SeenMessage message) {
    delivered += message.bytes.size();
    Check(message.problem != TransferProblem::kNone || message.bytes.size() == message.announced);
    tracker.OnMessage(std::move(message));
  });
  Sender sender(TransportLayout{});
  Receiver receiver(TransportLayout{});
  (void)sender.Start(std::vector<std::uint8_t>(200), SteadyTime{});
  ByteReader reader({data, size});
  WallTime now{};
  Frame frame;
  while (reader.remaining() > 0 && NextFrame(reader, now, frame)) {
    carried += frame.length;
    passive.OnFrame(frame);
    FeedActive(sender, receiver, frame, SteadyTime(now.time_since_epoch()));
  }
  passive.Finish();
  tracker.Finish();
  Check(delivered <= carried);
  const ConversationCounts& counts = reports.counts();
  Check(counts.all == counts.complete + counts.unanswered + counts.abandoned);
  for (const UnitReport& unit : reports.units()) Check(unit.oddities.size() <= 16);
  return 0;
}
