// The parts of CompareTraffic that look closer at what both sessions have. Each appends what
// changed.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "analysis/compare/traffic_comparison.h"
#include "analysis/findings/session_findings.h"

namespace proofdrive::analysis {

// Times are the lengths of the sessions, s.
void CompareRate(const StreamName& name, const StreamTraffic& before, const StreamTraffic& after,
                 double before_s, double after_s, TrafficComparison& comparison);
void CompareJitter(const StreamName& name, const StreamTraffic& before, const StreamTraffic& after,
                   TrafficComparison& comparison);
// `described`: bits that definitions name, one mask per byte; they are compared as signals.
void CompareBits(const StreamName& name, const StreamTraffic& before, const StreamTraffic& after,
                 const std::vector<std::uint8_t>& described, TrafficComparison& comparison);
// The same of bits that never change in either.
void CompareConstants(const StreamName& name, const StreamTraffic& before,
                      const StreamTraffic& after, const std::vector<std::uint8_t>& described,
                      TrafficComparison& comparison);
// Bits of the frame `name` that signals, pages, counter or checksum use; empty when it has no
// definition.
std::vector<std::uint8_t> DescribedBits(const decoders::Definitions* definitions,
                                        const std::string& name);

// `channels`: channel of `after` -> channel of `before`, from 256 up when there is none.
void CompareBuses(const SessionFindings& before, const SessionFindings& after,
                  const std::map<std::uint8_t, int>& channels, TrafficComparison& comparison);
// REQUIRES: the same definitions, or none.
void CompareFaults(const SessionFindings& before, const SessionFindings& after,
                   TrafficComparison& comparison);
void FindSilentUnits(const SessionFindings& before, const SessionFindings& after,
                     TrafficComparison& comparison);

// "byte 2 bits 0-3, byte 5" for one mask per byte.
std::string BitsText(const std::vector<std::uint8_t>& masks);

}  // namespace proofdrive::analysis
