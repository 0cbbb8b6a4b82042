// Splits and joins messages, and writes codes, for compare_scapy.py. One command per line of input,
// one line of output each:
//   split ADDRESS|- HEX          the frames of the message, blanks between them
//   join ADDRESS|- HEX HEX...    the message of the frames, or "none"
//   code HEX                     the text of a trouble code of two bytes
//   refusal HEX                  the standard's name of a negative response code, or "none"
#include <iostream>
#include <sstream>

#include "core/base/text.h"
#include "decoders/services/service_names.h"
#include "decoders/services/trouble_code.h"
#include "decoders/transport/receiver.h"
#include "decoders/transport/sender.h"

namespace proofdrive::decoders {
namespace {

using Bytes = std::vector<std::uint8_t>;

TransportLayout LayoutOf(const std::string& address) {
  TransportLayout layout;
  layout.padding.reset();
  if (address == "-") return layout;
  layout.sent_address = layout.received_address = ParseHexBytes(address).value().at(0);
  return layout;
}

Bytes Grant(const TransportLayout& layout) {
  return BuildFlowControl(layout, FlowStatus::kContinue, 0, 0);
}

std::string Split(const TransportLayout& layout, Bytes message) {
  SenderLimits limits;
  limits.message = 1 << 24;
  Sender sender(layout, limits);
  SteadyTime now{};
  std::string frames;
  if (!sender.Start(std::move(message), now).ok()) return "none";
  while (sender.state() == TransferState::kActive) {
    const auto data = sender.Next(now);
    if (!data) {
      sender.OnFrame(Grant(layout), now);
      continue;
    }
    frames += (frames.empty() ? "" : " ") + HexBytes(*data, "");
    sender.OnSent(now);
  }
  return frames;
}

std::string Join(const TransportLayout& layout, std::istringstream& words) {
  ReceiverLimits limits;
  limits.message = 1 << 24;
  Receiver receiver(layout, limits);
  std::string word;
  while (words >> word) {
    receiver.OnFrame(ParseHexBytes(word).value(), SteadyTime{});
    if (receiver.Next(SteadyTime{})) receiver.OnSent(SteadyTime{});
  }
  const auto message = receiver.Take();
  if (!message || message->problem != TransferProblem::kNone) return "none";
  return HexBytes(message->bytes, "");
}

std::string Answer(const std::string& line) {
  std::istringstream words(line);
  std::string command;
  std::string first;
  std::string second;
  words >> command >> first;
  if (command == "join") return Join(LayoutOf(first), words);
  if (command == "split") {
    words >> second;
    return Split(LayoutOf(first), ParseHexBytes(second).value());
  }
  const Bytes bytes = ParseHexBytes(first).value();
  if (command == "code") {
    return FormatTroubleCode({static_cast<std::uint16_t>(bytes.at(0) << 8 | bytes.at(1)), {}});
  }
  const RefusalInfo* refusal = FindRefusal(bytes.at(0));
  return refusal == nullptr ? "none" : std::string(refusal->name);
}

}  // namespace
}  // namespace proofdrive::decoders

int main() {
  std::string line;
  while (std::getline(std::cin, line)) {
    std::cout << proofdrive::decoders::Answer(line) << std::endl;
  }
}
