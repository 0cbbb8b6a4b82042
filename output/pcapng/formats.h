// The two capture formats. Private to this folder; callers use OpenCapture.
#pragma once

#include <memory>
#include <string>

#include "output/pcapng/input.h"
#include "output/pcapng/intake.h"
#include "output/pcapng/reader.h"

namespace proofdrive::output {

// REQUIRES: `input` is at its start, which shows the format's magic number.
Result<std::unique_ptr<CaptureReader>> OpenPcapng(CaptureInput input, const std::string& path);
Result<std::unique_ptr<CaptureReader>> OpenClassicPcap(CaptureInput input, const std::string& path);

// Whether the four bytes begin a classic pcap file.
bool IsClassicPcapMagic(ByteSpan bytes);

// Base of both: the next item by way of ReadMore.
class FormatReader : public CaptureReader {
 public:
  explicit FormatReader(CaptureInput input) : input_(std::move(input)) {}

  Result<bool> Next(CaptureItem& item) override;
  const std::vector<session::Channel>& channels() const override { return intake_.channels(); }
  const CaptureSummary& summary() const override { return intake_.summary(); }
  bool own_order() const override { return false; }
  std::uint64_t position() const override { return input_.position(); }
  std::uint64_t size() const override { return input_.size(); }

 protected:
  // Reads one block or record and moves past it. Calls Stop when it cannot.
  virtual Status ReadMore(CaptureItem& item) = 0;
  // Notes the loss from here to the end of the file and ends reading.
  void StopAtTruncation();
  void StopAtDamage(const std::string& why);

  CaptureInput input_;
  Intake intake_;

 private:
  void Stop(std::string what, std::string advice);
};

}  // namespace proofdrive::output
