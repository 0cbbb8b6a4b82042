#include "decoders/model/meanings.h"

#include <algorithm>
#include <array>
#include <cctype>
#include <optional>
#include <vector>

#include "core/base/text.h"
#include "decoders/model/roles.h"

namespace proofdrive::decoders {
namespace {

using enum Meaning;

struct MeaningWord {
  Meaning meaning;
  std::string_view name;
};
constexpr MeaningWord kMeanings[] = {
    {kUnknown, "unknown"},
    {kSet, "set"},
    {kClear, "clear"},
    {kClosed, "closed"},
    {kOpen, "open"},
    {kShort, "short"},
    {kPrecharging, "precharging"},
    {kMoving, "moving"},
    {kWelded, "welded"},
    {kOn, "on"},
    {kOff, "off"},
    {kFault, "fault"},
    {kOk, "ok"},
    {kCharging, "charging"},
    {kNotCharging, "not charging"},
    {kLow, "low"},
    {kEmpty, "empty"},
};

enum class Kind {
  kSays,     // decides
  kSubject,  // decides when nothing else does: "crash", but "crash clear"
  kAlone,    // decides when it is the whole name: "no" elsewhere turns the next word
  kNeutral,  // adds nothing
};

struct Entry {
  std::string_view words;  // separated by blanks; of a phrase by "+"
  Meaning meaning = kNotUnderstood;
  Kind kind = Kind::kSays;
};

// The words of each role: from the trade's English, and what German, French and Spanish makers
// write; common practice, no source.
constexpr Entry kCrash[] = {
    {"set latched stored triggered detected det fired deployed erkannt erk ausgelost ausgeloest "
     "gespeichert detecte detectee declenche declenchee memorise detectado activado disparado",
     kSet},
    {"clear cleared armed scharf released untriggered undetected normal ok iok "
     "geloscht geloescht efface borrado",
     kClear},
    {"crash impact choc choque aufprall unfall collision", kSet, Kind::kSubject},
    {"latch evt event pyro status state", kNotUnderstood, Kind::kNeutral},
    {"yes ja oui si true", kSet, Kind::kAlone},
    {"no nein non none keine aucun kein false", kClear, Kind::kAlone},
};
constexpr Entry kInhibit[] = {
    {"set inhibited inhibit inhibiting active aktiv actif activo blocked gesperrt interdit "
     "forbidden "
     "bloqueado",
     kSet},
    {"clear cleared released inactive inaktiv inactif allowed erlaubt frei autorise permitido "
     "uninhibited",
     kClear},
    {"crash insulation isolation interlock supply contactor reason state", kNotUnderstood,
     Kind::kNeutral},
    {"yes ja oui si true on", kSet, Kind::kAlone},
    {"no nein non none keine aucun false off", kClear, Kind::kAlone},
};
constexpr Entry kInterlock[] = {
    {"closed clsd shut unbroken intact ok iok plugged geschlossen geschl zu gesteckt steckt ferme "
     "fermee cerrado cerrada conectado connected",
     kClosed},
    {"open opened opn unclosed broken brk unplugged interrupted unterbrochen unterbr offen auf "
     "ouvert "
     "ouverte ouv coupe coupee abierto abierta disconnected getrennt desconectado",
     kOpen},
    {"short shorted kurzschluss court+circuit kurz cortocircuito", kShort},
    {"hvil ilk loop interlock pilotlinie pl boucle lazo bucle line circuit state to gnd ground",
     kNotUnderstood, Kind::kNeutral},
};
constexpr Entry kContactor[] = {
    {"closed clsd shut on zu ein angezogen geschlossen geschl ferme fermee connected "
     "cerrado conectado",
     kClosed},
    {"open opened opn reopened re+opened unclosed auf aus off offen abgefallen geoffnet geoeffnet "
     "ouvert ouverte disconnected inactive deactivated getrennt abierto desconectado",
     kOpen},
    {"precharge precharging prechg prechrg vorladung vorladen precarga", kPrecharging},
    {"closing opening connecting disconnecting moving schliesst schliessend offnet oeffnet "
     "fermeture+en+cours ouverture+en+cours",
     kMoving},
    {"welded verklebt verschweisst collee colle soude soudee pegado", kWelded},
    {"contactor contactors schutz schuetz contacteur contacteurs relay relais main "
     "hauptschutz hv k1 k2 state status",
     kNotUnderstood, Kind::kNeutral},
    {"pre", kPrecharging, Kind::kAlone},
};
constexpr Entry kRequest[] = {
    {"requested request on close active ein angefordert demande demandee solicitado", kOn},
    {"released off open inactive aus unrequested relache libre", kOff},
    {"contactor contactors hv state", kNotUnderstood, Kind::kNeutral},
    {"yes ja oui si true", kOn, Kind::kAlone},
    {"no nein non none false", kOff, Kind::kAlone},
};
constexpr Entry kConverter[] = {
    {"on supplying active running run ein an aktiv lauft laeuft marche actif encendido activo",
     kOn},
    {"off inactive stopped aus standby idle steht inaktiv arret inactif arrete apagado inactivo "
     "deactivated disabled",
     kOff},
    {"fault error failed fehler defekt defaut panne stor stoerung storung fallo averia", kFault},
    {"converter dcdc dc wandler convertisseur convertidor state", kNotUnderstood, Kind::kNeutral},
};
constexpr Entry kBalancing[] = {
    {"on active act running aktiv lauft laeuft ein en+cours marche actif activo encendido "
     "balancing",
     kOn},
    {"off inactive inact inaktiv done finished inhibited disabled deactivated idle stopped aus "
     "fertig "
     "beendet arret inactif termine apagado inactivo terminado",
     kOff},
    {"bal balance cell sym symmetrierung equil equilibrage equilibrado state", kNotUnderstood,
     Kind::kNeutral},
    {"yes ja oui si true", kOn, Kind::kAlone},
    {"no nein non none false", kOff, Kind::kAlone},
};
constexpr Entry kChargeState[] = {
    {"charging act active aktiv derated en+charge en+cours ladt laedt ladend running cargando "
     "en+carga "
     "activa activo",
     kCharging},
    {"idle complete completed done finished finish fin charged inhibited paused pause pausiert "
     "discharging ready ladebereit bereit ladeende beendet geladen unterbrochen hors stopped off "
     "branche plugged unplugged plugged+in wait waiting wartet refused cablecheck cable+check "
     "precharge inactive inaktiv termine arrete finie cargado terminado parado desenchufado "
     "enchufado disconnected",
     kNotCharging},
    {"chg charge laden ladung carga recharge", kCharging, Kind::kSubject},
    {"by car evse station for auth authorisation state vehicle", kNotUnderstood, Kind::kNeutral},
    {"no none nein non", kNotCharging, Kind::kAlone},
    {"yes ja oui si", kCharging, Kind::kAlone},
};
constexpr Entry kPump[] = {
    {"on run running active low high lauft laeuft an ein aktiv nachlauf marche actif priming "
     "activo "
     "marcha encendida medium slow fast",
     kOn},
    {"off stopped stop idle standby steht aus inaktiv inactive arret arrete apagada parada "
     "inactivo",
     kOff},
    {"fault error dry running+dry dry+run run+dry trockenlauf blockiert blocked defekt fehler stor "
     "stoerung storung stalled hs panne defaut bloque bloquee averia fallo bloqueada seca",
     kFault},
    {"unblocked ok iok normal", kOk},
    {"pmp pump pumpe pompe bomba det detected by request state coolant", kNotUnderstood,
     Kind::kNeutral},
};
constexpr Entry kLevel[] = {
    {"ok iok full normal voll plein pleine lleno good gut bon sufficient", kOk},
    {"low below+min fehlstand niedrig bas basse bajo insufficient", kLow},
    {"empty leer dry vide vacio", kEmpty},
    {"lvl level niveau niv nivel stand coolant kuhlmittel kuehlmittel det detected state",
     kNotUnderstood, Kind::kNeutral},
};

constexpr Meaning kSetClear[] = {kSet, kClear};
constexpr Meaning kLoop[] = {kClosed, kOpen, kShort};
constexpr Meaning kContacts[] = {kClosed, kOpen, kPrecharging, kMoving, kWelded};
constexpr Meaning kOnOff[] = {kOn, kOff};
constexpr Meaning kDevice[] = {kOn, kOff, kFault, kOk};
constexpr Meaning kChargeMeanings[] = {kCharging, kNotCharging};
constexpr Meaning kLevels[] = {kOk, kLow, kEmpty};

struct RoleWords {
  RoleName role;
  std::span<const Meaning> meanings;
  std::span<const Entry> entries;
  bool may_be_numbers = false;
};
constexpr RoleWords kRoleWords[] = {
    {"crash latch", kSetClear, kCrash},      {"contactor inhibit", kSetClear, kInhibit},
    {"interlock", kLoop, kInterlock},        {"contactor state", kContacts, kContactor},
    {"contactor request", kOnOff, kRequest}, {"converter state", kDevice, kConverter},
    {"balancing", kOnOff, kBalancing, true}, {"charge state", kChargeMeanings, kChargeState},
    {"coolant pump", kDevice, kPump, true},  {"coolant level", kLevels, kLevel, true},
};

constexpr std::string_view kNothingKnown =
    "unknown unbekannt inconnu desconocido init initial initialising initializing starting sna "
    "invalid undefined undef reserved na nd ff 0xff unplausible implausible not+available "
    "non+disponible nicht+verfugbar nicht+verfuegbar no+disponible";
constexpr std::string_view kBefore =
    "not no non nicht kein keine keinen n pas never nie sans ohne sin";
// Turns what was said before: "fault_none", "dry_run_not_det".
constexpr std::string_view kBehind =
    "none absent absente ausente aucun aucune not+detected not+det non+detecte non+detectee "
    "non+det "
    "not+present nicht+erkannt no+detectado";

const RoleWords* Find(std::string_view role) {
  const auto found = std::find_if(std::begin(kRoleWords), std::end(kRoleWords),
                                  [&](const RoleWords& row) { return role == row.role; });
  return found == std::end(kRoleWords) ? nullptr : found;
}

// --- words of a name ---

// Letters with an accent without it: those of Latin-1, as UTF-8 writes them after 0xC3.
std::string_view WithoutAccent(unsigned char second) {
  static constexpr std::string_view kFrom =
      "aaaaaa ceeeeiiii nooooo ouuuuy saaaaaa ceeeeiiii nooooo ouuuuy y";
  if (second < 0x80 || second - 0x80U >= 64) return "";
  if (second == 0x9F) return "ss";
  return kFrom.substr(second - 0x80U, 1);
}

bool IsWordEnd(std::string_view name, std::size_t i) {
  return i > 0 && std::islower(static_cast<unsigned char>(name[i - 1])) != 0 &&
         std::isupper(static_cast<unsigned char>(name[i])) != 0;
}

// Lower case, no accents; a new word after anything but letters and digits, and at "aB".
std::vector<std::string> WordsOf(std::string_view name) {
  std::vector<std::string> words(1);
  for (std::size_t i = 0; i < name.size(); ++i) {
    const auto byte = static_cast<unsigned char>(name[i]);
    if (byte == 0xC3 && i + 1 < name.size()) {
      words.back() += WithoutAccent(static_cast<unsigned char>(name[++i]));
    } else if (std::isalnum(byte) == 0) {
      words.emplace_back();
    } else {
      if (IsWordEnd(name, i)) words.emplace_back();
      words.back() += static_cast<char>(std::tolower(byte));
    }
  }
  std::erase(words, "");
  return words;
}

// "i.O.", "n.i.O." (German: in order, not in order) and "pre-charge" are written in many ways.
std::vector<std::string> Joined(const std::vector<std::string>& words) {
  std::vector<std::string> joined;
  for (std::size_t i = 0; i < words.size(); ++i) {
    const std::string next = i + 1 < words.size() ? words[i + 1] : "";
    if ((words[i] == "i" || words[i] == "ni") && next == "o") {
      if (words[i] == "ni") joined.emplace_back("nicht");
      joined.emplace_back("iok");
      ++i;
    } else if (words[i] == "pre" && next.starts_with("charg")) {
      joined.push_back("pre" + next);
      ++i;
    } else {
      joined.push_back(words[i]);
    }
  }
  return joined;
}

// How many words at the front of `rest` are one of the phrases; the longest counts.
std::size_t Match(std::string_view phrases, std::span<const std::string> rest) {
  std::size_t longest = 0;
  for (const std::string& phrase : Split(phrases, ' ')) {
    const std::vector<std::string> parts = Split(phrase, '+');
    if (parts.size() > rest.size() || parts.size() <= longest) continue;
    if (std::equal(parts.begin(), parts.end(), rest.begin())) longest = parts.size();
  }
  return longest;
}

struct Found {
  const Entry* entry = nullptr;
  std::size_t words = 0;
};
Found FindEntry(std::span<const Entry> entries, std::span<const std::string> rest, bool whole) {
  Found best;
  for (const Entry& entry : entries) {
    if (entry.kind == Kind::kAlone && !whole) continue;
    const std::size_t words = Match(entry.words, rest);
    if (words > best.words) best = {&entry, words};
  }
  return best;
}

// --- what they say together ---

std::optional<Meaning> OppositeOf(Meaning meaning, std::span<const Meaning> possible) {
  static constexpr std::array<std::pair<Meaning, Meaning>, 9> kOpposites = {
      {{kSet, kClear},
       {kClear, kSet},
       {kClosed, kOpen},
       {kOpen, kClosed},
       {kOn, kOff},
       {kOff, kOn},
       {kCharging, kNotCharging},
       {kFault, kOk},
       {kLow, kOk}}};
  for (const auto& [one, other] : kOpposites) {
    if (one != meaning) continue;
    if (std::find(possible.begin(), possible.end(), other) != possible.end()) return other;
  }
  return std::nullopt;
}

// Takes the words of one name from the left.
class Sentence {
 public:
  explicit Sentence(const RoleWords& role) : role_(role) {}

  // False when a word is not known.
  bool Take(std::span<const std::string> words) {
    for (std::size_t at = 0; at < words.size();) {
      const auto rest = words.subspan(at);
      const Found found = FindEntry(role_.entries, rest, words.size() == 1);
      const std::size_t behind = said_ || subject_ ? Match(kBehind, rest) : 0;
      if (behind > 0) {
        ++negations_;
        turned_ = true;
        at += behind;
      } else if (found.words > 0) {
        Add(*found.entry);
        at += found.words;
      } else if (Match(kBefore, rest) > 0) {
        negated_ = idle_ = true;
        ++negations_;
        ++at;
      } else {
        return false;
      }
    }
    return true;
  }

  Meaning Says() const {
    if (negations_ > 1 || contradicts_ || idle_) return kNotUnderstood;
    const std::optional<Meaning> said = said_ ? said_ : subject_;
    if (!said || !turned_) return said.value_or(kNotUnderstood);
    return OppositeOf(*said, role_.meanings).value_or(kNotUnderstood);
  }

 private:
  void Add(const Entry& entry) {
    if (entry.kind == Kind::kNeutral) return;
    idle_ = false;
    Meaning meaning = entry.meaning;
    if (negated_) {
      const auto opposite = OppositeOf(meaning, role_.meanings);
      if (!opposite) contradicts_ = true;
      meaning = opposite.value_or(meaning);
    }
    std::optional<Meaning>& place = entry.kind == Kind::kSubject ? subject_ : said_;
    if (place && *place != meaning) contradicts_ = true;
    place = meaning;
  }

  const RoleWords& role_;
  std::optional<Meaning> said_;
  std::optional<Meaning> subject_;
  bool negated_ = false;      // what follows
  bool idle_ = false;         // a negation that nothing follows
  bool turned_ = false;       // all of it
  bool contradicts_ = false;  // itself
  int negations_ = 0;
};

bool SaysNothingIsKnown(std::span<const std::string> words) {
  for (std::size_t i = 0; i < words.size(); ++i) {
    if (Match(kNothingKnown, words.subspan(i)) > 0) return true;
  }
  return false;
}

}  // namespace

std::string_view MeaningName(Meaning meaning) {
  for (const MeaningWord& word : kMeanings) {
    if (word.meaning == meaning) return word.name;
  }
  return "";
}

std::vector<std::string_view> MeaningNames() {
  std::vector<std::string_view> names;
  for (const MeaningWord& word : kMeanings) names.push_back(word.name);
  return names;
}

Meaning MeaningOfWord(std::string_view name) {
  for (const MeaningWord& word : kMeanings) {
    if (word.name == name) return word.meaning;
  }
  return kNotUnderstood;
}

std::span<const Meaning> MeaningsOf(std::string_view role) {
  const RoleWords* row = Find(role);
  return row == nullptr ? std::span<const Meaning>() : row->meanings;
}

std::string MeaningChoices(std::string_view role) {
  std::vector<std::string> names;
  for (const Meaning meaning : MeaningsOf(role)) names.emplace_back(MeaningName(meaning));
  return Join(names, ", ") + " or unknown";
}

bool MayBeNumbers(std::string_view role) {
  const RoleWords* row = Find(role);
  return row != nullptr && row->may_be_numbers;
}

Meaning MeaningOfName(std::string_view role, std::string_view name) {
  const RoleWords* row = Find(role);
  if (row == nullptr) return kNotUnderstood;
  const std::vector<std::string> words = Joined(WordsOf(name));
  if (SaysNothingIsKnown(words)) return kUnknown;
  Sentence sentence(*row);
  return sentence.Take(words) ? sentence.Says() : kNotUnderstood;
}

}  // namespace proofdrive::decoders
