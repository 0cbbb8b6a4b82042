// Names of states as makers may write them, in three languages. All are invented for this test,
// after the habits of the trade: common practice, no source. Those that makers use both ways must
// not be understood; a state that is not what it seems must never be taken for the good one.
#include "decoders/model/meanings.h"

#include <gtest/gtest.h>

#include <set>

#include "decoders/model/roles.h"

namespace proofdrive::decoders {
namespace {

using enum Meaning;

struct Row {
  RoleName role;
  const char* name;
  Meaning meaning;
};

constexpr Row kRows[] = {
    {"crash latch", "set", kSet},
    {"crash latch", "crash", kSet},
    {"crash latch", "deployed", kSet},
    {"crash latch", "triggered", kSet},
    {"crash latch", "CRASH_LATCHED", kSet},
    {"crash latch", "crash_evt_stored", kSet},
    {"crash latch", "CrashDetected", kSet},
    {"crash latch", "Crash erkannt", kSet},
    {"crash latch", "ausgel\xC3\xB6st", kSet},
    {"crash latch", "AUSGELOEST", kSet},
    {"crash latch", "choc_detecte", kSet},
    {"crash latch",
     "d\xC3\xA9"
     "clench\xC3\xA9",
     kSet},
    {"crash latch", "choque_detectado", kSet},
    {"crash latch", "pyro_fired", kSet},
    {"crash latch", "yes", kSet},
    {"crash latch", "clear", kClear},
    {"crash latch", "no", kClear},
    {"crash latch", "none", kClear},
    {"crash latch", "no_crash", kClear},
    {"crash latch", "crash_clear", kClear},
    {"crash latch", "not_triggered", kClear},
    {"crash latch", "not_set", kClear},
    {"crash latch", "never_set", kClear},
    {"crash latch", "not_detected", kClear},
    {"crash latch", "crash_not_detected", kClear},
    {"crash latch", "kein_Crash", kClear},
    {"crash latch", "Crash_n_erk", kClear},
    {"crash latch", "nicht ausgel\xC3\xB6st", kClear},
    {"crash latch", "choc_non_det", kClear},
    {"crash latch", "sin_choque", kClear},
    {"crash latch", "IMPACT=NONE", kClear},
    {"crash latch", "armed", kClear},
    {"crash latch", "scharf", kClear},
    {"crash latch", "latch_released", kClear},
    {"crash latch", "unset", kNotUnderstood},
    {"crash latch", "reset", kNotUnderstood},
    {"crash latch", "reset_pending", kNotUnderstood},
    {"crash latch", "PyroIO", kNotUnderstood},
    {"crash latch", "crash_no", kNotUnderstood},
    {"crash latch", "not_not_set", kNotUnderstood},
    {"crash latch", "set_clear", kNotUnderstood},
    {"crash latch", "settled", kNotUnderstood},
    {"crash latch", "e7", kNotUnderstood},
    {"crash latch", "", kNotUnderstood},
    {"crash latch", "SNA", kUnknown},
    {"crash latch", "init", kUnknown},
    {"contactor inhibit", "yes", kSet},
    {"contactor inhibit", "no", kClear},
    {"contactor inhibit", "inhibited", kSet},
    {"contactor inhibit", "not_inhibited", kClear},
    {"contactor inhibit", "gesperrt", kSet},
    {"contactor inhibit", "nicht_gesperrt", kClear},
    {"contactor inhibit", "inactive", kClear},
    {"interlock", "closed", kClosed},
    {"interlock", "HVIL_OK", kClosed},
    {"interlock", "HVIL closed", kClosed},
    {"interlock", "loop unbroken", kClosed},
    {"interlock", "Pilotlinie i.O.", kClosed},
    {"interlock", "PL_geschl", kClosed},
    {"interlock",
     "boucle ferm\xC3\xA9"
     "e",
     kClosed},
    {"interlock", "lazo_cerrado", kClosed},
    {"interlock", "plugged", kClosed},
    {"interlock", "steckt", kClosed},
    {"interlock", "open", kOpen},
    {"interlock", "OPN", kOpen},
    {"interlock", "broken", kOpen},
    {"interlock", "loop_brk", kOpen},
    {"interlock", "ILK_not_closed", kOpen},
    {"interlock", "not_ok", kOpen},
    {"interlock", "Pilotlinie n.i.O.", kOpen},
    {"interlock", "Pilotlinie_iO", kClosed},
    {"interlock", "Pilotlinie_niO", kOpen},
    {"interlock", "PL_unterbr", kOpen},
    {"interlock", "boucle_ouv", kOpen},
    {"interlock", "lazo_abierto", kOpen},
    {"interlock", "unplugged", kOpen},
    {"interlock", "nicht gesteckt", kOpen},
    {"interlock", "short", kShort},
    {"interlock", "short_to_gnd", kShort},
    {"interlock", "Kurzschluss", kShort},
    {"interlock", "fault", kNotUnderstood},
    {"interlock", "verrouill\xC3\xA9", kNotUnderstood},
    {"interlock", "NC", kNotUnderstood},
    {"interlock", "NO", kNotUnderstood},
    {"interlock", "not_short", kNotUnderstood},
    {"interlock", "enclosed", kNotUnderstood},
    {"interlock", "undefined", kUnknown},
    {"contactor state", "CLSD", kClosed},
    {"contactor state", "main_closed", kClosed},
    {"contactor state", "on", kClosed},
    {"contactor state", "EIN", kClosed},
    {"contactor state", "angezogen", kClosed},
    {"contactor state", "K1_zu", kClosed},
    {"contactor state", "connected", kClosed},
    {"contactor state", "not_open", kClosed},
    {"contactor state", "contacteur_ferme", kClosed},
    {"contactor state", "cerrado", kClosed},
    {"contactor state", "OPN", kOpen},
    {"contactor state", "opened", kOpen},
    {"contactor state", "re-opened", kOpen},
    {"contactor state", "not_closed", kOpen},
    {"contactor state", "K1_auf", kOpen},
    {"contactor state", "AUS", kOpen},
    {"contactor state", "Sch\xC3\xBCtz abgefallen", kOpen},
    {"contactor state", "disconnected", kOpen},
    {"contactor state", "deactivated", kOpen},
    {"contactor state", "inactive", kOpen},
    {"contactor state", "abierto", kOpen},
    {"contactor state", "closing", kMoving},
    {"contactor state", "connecting", kMoving},
    {"contactor state", "disconnecting", kMoving},
    {"contactor state", "precharge", kPrecharging},
    {"contactor state", "PreCharge", kPrecharging},
    {"contactor state", "pre-charging", kPrecharging},
    {"contactor state", "Vorladung", kPrecharging},
    {"contactor state", "pre", kPrecharging},
    {"contactor state", "welded", kWelded},
    {"contactor state", "verklebt", kWelded},
    {"contactor state", "coll\xC3\xA9", kWelded},
    {"contactor state", "no_weld", kNotUnderstood},
    {"contactor state", "weld_check", kNotUnderstood},
    {"contactor state", "WELD_NOT_DET", kNotUnderstood},
    {"contactor state", "closed_cmd", kNotUnderstood},
    {"contactor state", "stuck_open", kNotUnderstood},
    {"contactor state", "PRECHG_DONE", kNotUnderstood},
    {"contactor state",
     "pr\xC3\xA9"
     "charge_KO",
     kNotUnderstood},
    {"contactor state", "not_welded", kNotUnderstood},
    {"contactor state", "Init", kUnknown},
    {"contactor request", "requested", kOn},
    {"contactor request", "not_requested", kOff},
    {"contactor request", "released", kOff},
    {"contactor request", "angefordert", kOn},
    {"converter state", "on", kOn},
    {"converter state", "supplying", kOn},
    {"converter state", "DCDC_active", kOn},
    {"converter state", "inactive", kOff},
    {"converter state", "deactivated", kOff},
    {"converter state", "not_running", kOff},
    {"converter state", "fault", kFault},
    {"converter state", "fault_none", kOk},
    {"charge state", "Charging", kCharging},
    {"charge state", "Laden aktiv", kCharging},
    {"charge state", "en charge", kCharging},
    {"charge state", "derated", kCharging},
    {"charge state", "CHG_ACT", kCharging},
    {"charge state", "cargando", kCharging},
    {"charge state", "IDLE", kNotCharging},
    {"charge state", "not_charging", kNotCharging},
    {"charge state", "Chg_Complete", kNotCharging},
    {"charge state", "charged", kNotCharging},
    {"charge state", "discharging", kNotCharging},
    {"charge state", "charge_inhibited", kNotCharging},
    {"charge state", "Ladebereit", kNotCharging},
    {"charge state", "Ladeende", kNotCharging},
    {"charge state",
     "l\xC3\xA4"
     "dt nicht",
     kNotUnderstood},
    {"charge state", "geladen", kNotCharging},
    {"charge state", "fin_charge", kNotCharging},
    {"charge state", "hors charge", kNotCharging},
    {"charge state", "branch\xC3\xA9", kNotCharging},
    {"charge state", "plugged_in", kNotCharging},
    {"charge state", "unplugged", kNotCharging},
    {"charge state", "paused_by_car", kNotCharging},
    {"charge state", "CableCheck", kNotCharging},
    {"charge state", "PreCharge", kNotCharging},
    {"charge state", "wait_for_auth", kNotCharging},
    {"charge state", "no_AC", kNotUnderstood},
    {"charge state", "fault_none", kNotUnderstood},
    {"coolant pump", "PMP_RUN", kOn},
    {"coolant pump", "l\xC3\xA4uft", kOn},
    {"coolant pump", "Nachlauf", kOn},
    {"coolant pump", "marche", kOn},
    {"coolant pump", "high", kOn},
    {"coolant pump", "not running", kOff},
    {"coolant pump", "steht", kOff},
    {"coolant pump", "arr\xC3\xAAt", kOff},
    {"coolant pump", "off_by_request", kOff},
    {"coolant pump", "running dry", kFault},
    {"coolant pump", "Trockenlauf", kFault},
    {"coolant pump", "blockiert", kFault},
    {"coolant pump", "HS", kFault},
    {"coolant pump", "dry_run_not_det", kOk},
    {"coolant pump", "no_fault", kOk},
    {"coolant pump", "unblocked", kOk},
    {"coolant pump", "kein_Fehler", kOk},
    {"coolant level", "LVL_OK", kOk},
    {"coolant level", "full", kOk},
    {"coolant level", "voll", kOk},
    {"coolant level", "not_low", kOk},
    {"coolant level", "low_not_det", kOk},
    {"coolant level", "low", kLow},
    {"coolant level", "below_min", kLow},
    {"coolant level", "niveau bas", kLow},
    {"coolant level", "Fehlstand", kLow},
    {"coolant level", "leer", kEmpty},
    {"coolant level", "dry", kEmpty},
    {"coolant level", "nicht leer", kNotUnderstood},
    {"coolant level", "Min", kNotUnderstood},
    {"coolant level", "high", kNotUnderstood},
    {"coolant level", "wet", kNotUnderstood},
    {"coolant level", "below", kNotUnderstood},
    {"coolant level", "unplausible", kUnknown},
    {"balancing", "BAL_ACT", kOn},
    {"balancing", "sym_aktiv", kOn},
    {"balancing", "\xC3\xA9quil_en_cours", kOn},
    {"balancing", "bal_inact", kOff},
    {"balancing", "bal_done", kOff},
    {"balancing", "disabled", kOff},
    {"balancing", "\xC3\xA9quil_off", kOff},
    {"balancing", "unbalanced", kNotUnderstood},
    {"balancing", "balanced", kNotUnderstood},
    {"balancing", "enabled", kNotUnderstood},
    {"balancing", "passive", kNotUnderstood},
    {"balancing", "Reserved", kUnknown},
    {"balancing", "0xFF", kUnknown},
};

TEST(Meanings, NamesAsMakersWriteThem) {
  static_assert(std::size(kRows) > 150);
  for (const Row& row : kRows) {
    EXPECT_EQ(MeaningName(MeaningOfName(row.role, row.name)), MeaningName(row.meaning))
        << std::string_view(row.role) << ": " << row.name;
  }
}

TEST(Meanings, AnotherWordIsNeverIgnored) {
  for (const Row& row : kRows) {
    EXPECT_EQ(MeaningOfName(row.role, std::string("gadget_") + row.name),
              row.meaning == kUnknown ? kUnknown : kNotUnderstood)
        << row.name;
  }
}

TEST(Meanings, OfOtherRolesAreNoneOfOurs) {
  EXPECT_TRUE(MeaningsOf("pack voltage").empty());
  EXPECT_TRUE(MeaningsOf("no such role").empty());
  EXPECT_EQ(MeaningOfName("pack voltage", "on"), kNotUnderstood);
}

TEST(Meanings, NamesAreTheirOwnAndComeBack) {
  std::set<std::string_view> names;
  for (const std::string_view name : MeaningNames()) {
    EXPECT_TRUE(names.insert(name).second) << name;
    EXPECT_EQ(MeaningName(MeaningOfWord(name)), name);
  }
  EXPECT_EQ(MeaningOfWord("else"), kNotUnderstood);
  EXPECT_EQ(MeaningChoices("crash latch"), "set, clear or unknown");
}

}  // namespace
}  // namespace proofdrive::decoders
