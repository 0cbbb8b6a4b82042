#include "daemon/recording/session_header.h"

#include "daemon/recording/boot_id.h"

namespace proofdrive::daemon {

session::Header MakeSessionHeader(const std::string& source,
                                  const std::vector<session::Channel>& channels,
                                  const decoders::Definitions* definitions,
                                  const std::vector<decoders::SourceText>& texts) {
  session::Header header;
  if (definitions != nullptr) header.vehicle = definitions->vehicle;
  header.software = std::string("proofdrived ") + PROOFDRIVE_VERSION;
  header.source = source;
  header.boot_id = ReadBootId();
  header.channels = channels;
  for (const decoders::SourceText& text : texts)
    header.definitions.push_back({text.path, text.text});
  return header;
}

}  // namespace proofdrive::daemon
