#include "tests/fleet/sensors/state_styles.h"

namespace proofdrive::fleet {
namespace {

constexpr double kPlainShare = 0.6;  // of the cars write the first style

struct Styles {
  std::string role;
  std::vector<std::vector<std::string>> styles;
};
const std::vector<Styles>& Table() {
  static const std::vector<Styles> table = {{"contactor state",
                                             {{"open", "precharge", "closed"},
                                              {"OPN", "PRECHG", "CLSD"},
                                              {"opened", "pre_charging", "closed"},
                                              {"K1_auf", "Vorladung", "K1_zu"},
                                              {"AUS", "VORLADEN", "EIN"},
                                              {"ouvert", "precharge", "ferme"},
                                              {"disconnected", "precharge", "connected"},
                                              {"not_closed", "precharge", "closed"},
                                              {"abgefallen", "Vorladung", "angezogen"},
                                              {"off", "pre", "on"}}},
                                            {"interlock",
                                             {{"closed", "open"},
                                              {"HVIL_OK", "HVIL_OPEN"},
                                              {"unbroken", "broken"},
                                              {"Pilotlinie_iO", "Pilotlinie_niO"},
                                              {"PL_geschl", "PL_unterbr"},
                                              {"plugged", "unplugged"},
                                              {"boucle_fermee", "boucle_ouverte"},
                                              {"not_open", "ILK_not_closed"}}},
                                            {"crash latch",
                                             {{"no", "yes"},
                                              {"not_set", "set"},
                                              {"clear", "crash_evt_stored"},
                                              {"not_triggered", "triggered"},
                                              {"kein_Crash", "Crash_erkannt"},
                                              {"choc_non_det", "choc_detecte"},
                                              {"armed", "deployed"},
                                              {"nicht_ausgeloest", "ausgeloest"},
                                              {"IMPACT_NONE", "IMPACT"}}},
                                            {"charge state",
                                             {{"idle", "charging"},
                                              {"not_charging", "Charging"},
                                              {"Ladebereit", "Laden_aktiv"},
                                              {"hors_charge", "en_charge"},
                                              {"unplugged_chg", "CHG_ACT"}}},
                                            {"coolant pump",
                                             {{"off", "running"},
                                              {"standby", "PMP_RUN"},
                                              {"steht", "laeuft"},
                                              {"arret", "marche"},
                                              {"not_running", "running"}}},
                                            {"coolant level",
                                             {{"ok", "low"},
                                              {"LVL_OK", "LVL_LOW"},
                                              {"not_low", "low"},
                                              {"voll", "Fehlstand"},
                                              {"niv_OK", "niveau_bas"},
                                              {"low_not_det", "below_min"}}},
                                            {"converter state",
                                             {{"off", "on"},
                                              {"inactive", "active"},
                                              {"AUS", "EIN"},
                                              {"standby", "supplying"},
                                              {"arret", "marche"}}},
                                            {"balancing",
                                             {{"off", "on"},
                                              {"bal_inact", "BAL_ACT"},
                                              {"inhibited", "active"},
                                              {"bal_done", "sym_aktiv"},
                                              {"equil_off", "equil_en_cours"}}}};
  return table;
}

const Styles* Find(const std::string& role) {
  for (const Styles& row : Table()) {
    if (row.role == role) return &row;
  }
  return nullptr;
}

}  // namespace

std::vector<StateName> DrawStates(Random& random, const std::string& role) {
  const Styles* row = Find(role);
  if (row == nullptr) return {};
  const auto& style = random.Chance(kPlainShare) ? row->styles.front() : random.Pick(row->styles);
  // Numbers do not always begin at 0 (common practice).
  const int first = random.Chance(0.2) ? 1 : 0;
  std::vector<StateName> states;
  for (const std::string& name : style) {
    states.push_back({first + static_cast<int>(states.size()), name});
  }
  return states;
}

std::vector<std::string> NamesOf(const std::string& role, std::size_t state) {
  std::vector<std::string> names;
  if (const Styles* row = Find(role)) {
    for (const auto& style : row->styles) names.push_back(style.at(state));
  }
  return names;
}

}  // namespace proofdrive::fleet
