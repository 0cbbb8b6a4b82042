#include "output/pcapng/formats.h"

#include "core/base/text.h"

namespace proofdrive::output {

Result<bool> FormatReader::Next(CaptureItem& item) {
  item.events.clear();
  item.frame.reset();
  while (!item.frame && item.events.empty()) {
    if (input_.remaining() == 0 || summary().loss) {
      intake_.FlushComments(item);
      return !item.events.empty();
    }
    RETURN_IF_ERROR(ReadMore(item));
  }
  return true;
}

void FormatReader::Stop(std::string what, std::string advice) {
  session::Loss loss;
  loss.severity = session::Loss::Severity::kDataLoss;
  loss.offset = input_.position();
  loss.bytes = input_.remaining();
  loss.what = std::move(what);
  loss.advice = std::move(advice);
  intake_.summary().loss = std::move(loss);
}

void FormatReader::StopAtTruncation() {
  Stop("the file ends in the middle of something that begins at byte " +
           std::to_string(input_.position()) + "; everything before was read and the last " +
           CountOf(input_.remaining(), "byte") + " lost",
       "Copy the capture again if the original is longer");
}

void FormatReader::StopAtDamage(const std::string& why) {
  Stop("damaged at byte " + std::to_string(input_.position()) + " (" + why +
           "); everything before was read and the last " + CountOf(input_.remaining(), "byte") +
           " lost",
       "Copy the capture again if the original is intact");
}

}  // namespace proofdrive::output
