#include "output/words/cautions.h"

namespace proofdrive::output {
namespace {

const Caution kFollowTheMaker{
    "A recording only shows what was sent on the bus; nothing was measured. Follow the maker's "
    "manual for this vehicle and local rules, and leave high-voltage work to trained people.",
    "project rule"};
const Caution kTreatAsLive{"Treat the pack and everything orange as live, whatever a verdict says.",
                           "SAE J2990; orange marking: UN R100"};
const Caution kDoNotBypass{
    "Never bridge an interlock, contactor, insulation monitor or crash disconnect to make a "
    "warning go away; replace a disconnect that has fired.",
    "common practice, no source"};
const Caution kProveVoltageFree{
    "Before any touch: shut the high voltage off as the maker describes, then prove it is gone: "
    "meter on a known source, on the part, on the known source again.",
    "NFPA 70E (from memory)"};
const Caution kInspectFirst{
    "A pack that has had coolant or water inside is not charged or driven until a competent "
    "person has inspected it; fire can start days to weeks later.",
    "US Fire Administration note of 2022-10-20, quoting NHTSA"};
const Caution kDryIsNoProof{
    "Isolation that came back after drying proves little: residues may conduct when damp again.",
    "US Fire Administration note of 2022-10-20, quoting NHTSA"};
const Caution kFirstCharge{
    "First charge after a repair: lowest power, outdoors, attended; stop when a cell, a "
    "temperature or the insulation moves.",
    "common practice, no source"};

}  // namespace

std::vector<Caution> CautionsFor(CautionContext context) {
  switch (context) {
    case CautionContext::kAlways:
      return {kFollowTheMaker, kTreatAsLive};
    case CautionContext::kTouch:
      return {kTreatAsLive, kProveVoltageFree, kDoNotBypass, kFollowTheMaker};
    case CautionContext::kCharge:
      return {kInspectFirst, kDryIsNoProof, kFirstCharge, kFollowTheMaker};
    case CautionContext::kCompare:
      return {kTreatAsLive, kInspectFirst, kDoNotBypass, kFollowTheMaker};
  }
  return {kFollowTheMaker};
}

}  // namespace proofdrive::output
