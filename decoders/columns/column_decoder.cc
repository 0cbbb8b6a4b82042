#include "decoders/columns/column_decoder.h"

#include <utility>

#include "decoders/columns/column_kernels.h"

namespace proofdrive::decoders {
namespace {

constexpr std::uint32_t kNoStep = 0xFFFFFFFF;

}  // namespace

ColumnDecoder::ColumnDecoder(std::shared_ptr<const Definitions> definitions)
    : definitions_(std::move(definitions)),
      plan_(MakePlan(*definitions_)),
      first_step_(definitions_->signals.size(), kNoStep) {
  for (const FramePlan& frame : plan_.frames) {
    for (std::uint32_t i = frame.always.end; i > frame.always.begin; --i) {
      first_step_[plan_.steps[i - 1].signal] = i - 1;
    }
  }
}

const ValueStep* ColumnDecoder::FindStep(std::uint32_t signal, std::uint32_t element) const {
  if (signal >= first_step_.size() || first_step_[signal] == kNoStep) return nullptr;
  const std::size_t at = std::size_t{first_step_[signal]} + element;
  if (at >= plan_.steps.size() || plan_.steps[at].signal != signal) return nullptr;
  return &plan_.steps[at];
}

bool ColumnDecoder::Decode(std::uint32_t signal, std::uint32_t element, const PayloadColumn& column,
                           std::span<double> out) const {
  const ValueStep* step = FindStep(signal, element);
  if (step == nullptr || step->encoding == Encoding::kText) return false;
  if (step->extract.bytes_needed > column.stride) return false;
  DecodeStep(*step, column, out);
  return true;
}

bool ColumnDecoder::HasColumn(std::uint32_t signal) const {
  const Signal& what = definitions_->signals[signal];
  return !what.frame.empty() && !what.valid_when;
}

void ColumnDecoder::DecodeStep(const ValueStep& step, const PayloadColumn& column,
                               std::span<double> out) const {
  ColumnJob job;
  job.step = step;
  job.pieces = std::span(plan_.pieces).subspan(step.extract.first_piece, step.extract.pieces);
  job.step.extract.first_piece = 0;
  job.absent = std::span(plan_.absent).subspan(step.first_absent, step.absent);
  job.column = column;
  job.out = out.data();
  DecodeColumn(job);
}

void ColumnDecoder::ReadBits(const Extract& extract, const PayloadColumn& column,
                             std::span<std::uint64_t> out) const {
  ReadColumnBits(extract, plan_.pieces.data(), column, out.data());
}

}  // namespace proofdrive::decoders
