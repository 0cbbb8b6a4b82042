#include "output/words/cautions.h"

#include <algorithm>

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
    "Insulation that came back after drying proves little: residues may conduct when damp again.",
    "US Fire Administration note of 2022-10-20, quoting NHTSA"};
const Caution kFirstCharge{
    "First charge after a repair: lowest power, outdoors, attended; stop when a cell, a "
    "temperature or the insulation moves.",
    "common practice, no source"};

struct RoleTopic {
  std::string_view role;
  CautionTopic topic;
};
constexpr RoleTopic kRoleTopics[] = {
    {"isolation resistance", CautionTopic::kWetPack},
    {"positive voltage to body", CautionTopic::kWetPack},
    {"negative voltage to body", CautionTopic::kWetPack},
    {"coolant level", CautionTopic::kWetPack},
    {"interlock", CautionTopic::kInterlock},
    {"crash latch", CautionTopic::kInterlock},
    {"contactor state", CautionTopic::kInterlock},
    {"contactor request", CautionTopic::kInterlock},
    {"contactor inhibit", CautionTopic::kInterlock},
    {"precharge state", CautionTopic::kInterlock},
    {"charge state", CautionTopic::kCharging},
    {"charge plug", CautionTopic::kCharging},
    {"charge power limit", CautionTopic::kCharging},
    {"charge current limit", CautionTopic::kCharging},
    {"pack voltage", CautionTopic::kPack},
    {"link voltage", CautionTopic::kPack},
    {"pack current", CautionTopic::kPack},
    {"cell voltages", CautionTopic::kPack},
    {"cell temperatures", CautionTopic::kPack},
    {"module temperatures", CautionTopic::kPack},
    {"balancing", CautionTopic::kPack},
    {"coolant pump", CautionTopic::kPack},
    {"coolant pump speed", CautionTopic::kPack},
    {"coolant pump current", CautionTopic::kPack},
    {"coolant flow", CautionTopic::kPack},
    {"converter state", CautionTopic::kPack},
    {"discharge power limit", CautionTopic::kPack},
    {"discharge current limit", CautionTopic::kPack},
};

const Caution& CautionOf(CautionTopic topic) {
  switch (topic) {
    case CautionTopic::kWetPack:
      return kInspectFirst;
    case CautionTopic::kDriedPack:
      return kDryIsNoProof;
    case CautionTopic::kInterlock:
      return kDoNotBypass;
    case CautionTopic::kCharging:
      return kFirstCharge;
    case CautionTopic::kPack:
      return kTreatAsLive;
    case CautionTopic::kMeasuring:
      return kProveVoltageFree;
    case CautionTopic::kOther:
      return kFollowTheMaker;
  }
  return kFollowTheMaker;
}

}  // namespace

CautionTopic TopicOfRole(std::string_view role) {
  for (const RoleTopic& row : kRoleTopics) {
    if (row.role == role) return row.topic;
  }
  return CautionTopic::kOther;
}

Caution FittingCaution(std::span<const CautionTopic> topics) {
  const auto first = std::min_element(topics.begin(), topics.end());
  return CautionOf(first == topics.end() ? CautionTopic::kOther : *first);
}

std::vector<Caution> AllCautions(std::span<const CautionContext> contexts) {
  std::vector<Caution> all;
  for (const CautionContext context : contexts) {
    for (Caution& caution : CautionsFor(context)) {
      const bool known = std::any_of(
          all.begin(), all.end(), [&](const Caution& other) { return other.text == caution.text; });
      if (!known) all.push_back(std::move(caution));
    }
  }
  return all;
}

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
