// What proofdrived is told by its command line and its configuration file. Everything about it is
// checked here, so that the parts that are built from Options need not.
//
// A new option is one row in option_table.cc and a field here.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/base/log.h"
#include "daemon/recording/recording_policy.h"
#include "daemon/sources/source_table.h"
#include "mqtt/publisher.h"
#include "web/access/listen_address.h"

namespace proofdrive::daemon {

struct Options {
  std::vector<SourceSpec> sources;       // at least one, no two the same
  std::vector<std::string> definitions;  // paths
  std::string sessions = ".";            // folder
  std::optional<RecordingWish> record;   // record at once and end with the recording
  RecordingPolicy policy;                // what the daemon records by itself otherwise
  PartLimits parts;
  std::optional<std::uint64_t> budget;     // bytes that sessions may take; nullopt = no limit
  std::string socket;                      // path of the control socket
  std::optional<web::ListenAddress> page;  // of the live page; nullopt: there is none
  mqtt::PublisherSetup mqtt;               // no host: nothing is published
  std::vector<std::string> mqtt_signals;   // names, or "all"
  std::string page_token;                  // file of its token; never empty off loopback
  bool allow_requests = false;             // control units may be asked
  LogLevel log_level = LogLevel::kInfo;

  std::string config;         // path of the configuration file; empty: none
  bool check_config = false;  // say what is wrong with all of this, and end
};

// "bench:repaired, socketcan:can0": the sources as given.
std::string SourcesText(const Options& options);

}  // namespace proofdrive::daemon
