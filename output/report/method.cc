#include "output/report/method.h"

#include "output/report/page.h"

namespace proofdrive::output {
namespace {

std::vector<Html> Items(std::initializer_list<const char*> texts) {
  std::vector<Html> items;
  for (const char* text : texts) items.push_back(Html::Text(text));
  return items;
}

}  // namespace

Html ComparisonMethod() {
  return List(Items(
      {"Every frame of both recordings was decoded again with one set of definition files; the "
       "recordings hold the raw frames exactly as they arrived.",
       "A warning is on or off as its condition in the definition file says, with its delays. It "
       "is "
       "unknown while a signal it needs was never received, is absent, or is silent: its frame "
       "did not come for three periods.",
       "Cleared: it was set, it is off and known within 2 s of the end of the after-session, and "
       "that session contained, while it was off, what the definition file asks for as proof. "
       "Everything short of that is not proven, or has no evidence.",
       "A trouble code is set when its control unit says that its test failed, or that it is "
       "pending or confirmed. It is cleared only when the unit's own status byte says that the "
       "test has run since codes were cleared and in this operation cycle, and failed in neither "
       "(ISO 14229-1); a code that is merely no longer listed is not proven.",
       "Still on, came back, new: set in the after-session; came back when it had been off before, "
       "new when it was only ever known to be off.",
       "A changed period of a frame must show in its median and its mean by more than a quarter, "
       "and exceed four times the spread of both recordings; an identifier seen in one recording "
       "only is marked when that may be chance.",
       "Signals are compared as medians of 5 s, and only where pack current, vehicle speed and "
       "cell temperature were the same. Changed: at least a medium effect, not by chance when as "
       "many signals are looked at together, and a 95 % interval of the difference without zero. "
       "The same: that interval lies within 5 % of the range seen. Everything else is left open, "
       "and so is what too few independent values say. A changed signal is no fault by itself.",
       "The likely new place of a frame that is gone is an identifier of the same length and "
       "period whose bits move alike; it is confirmed only when the frame's own checksum or "
       "counter, as the definition file describes it, is right there.",
       "Plots show the lowest to the highest value of each stretch of time, so that no peak is "
       "lost however long the recording is.",
       "The hashes identify the files this was made from: sha256sum FILE must print the same "
       "digits."}));
}

Html SessionMethod() {
  return List(Items(
      {"Every frame of the recording was decoded with the definition files named above; the "
       "recording holds the raw frames exactly as they arrived.",
       "A warning is on or off as its condition in the definition file says, with its delays. It "
       "is "
       "unknown while a signal it needs was never received, is absent, or is silent: its frame "
       "did not come for three periods.",
       "Distance is the sum of speed times time, energy the sum of voltage times current times "
       "time, both from what the car's own sensors sent. Over a silence longer than 2 s nothing "
       "is counted.",
       "Plots show the lowest to the highest value of each stretch of time, so that no peak is "
       "lost however long the recording is.",
       "The hash identifies the file this was made from: sha256sum FILE must print the same "
       "digits."}));
}

Html SessionSources() {
  return List(
      Items({"Frames and identifiers: ISO 11898-1. Trouble codes and their status: ISO 14229-1 "
             "(UDS) Annex D, SAE J1979; reading of the status bits from memory.",
             "That a signal is silent after three periods: common practice, no source.",
             "SHA-256: FIPS 180-4.", "Each caution names what it rests on beside it."}));
}

Html ComparisonSources() {
  return List(Items(
      {"Frames and identifiers: ISO 11898-1. Trouble codes and their status: ISO 14229-1 "
       "(UDS) Annex D, SAE J1979; reading of the status bits from memory. Identifiers of "
       "installed software and hardware: ISO 14229-1 Annex C.1.",
       "That a signal is silent after three periods; that a change of a period counts from one "
       "quarter: common practice, no source.",
       "Median absolute deviation times 1.4826 as spread: standard statistics (from memory).",
       "Effect: Cliff 1993 with the labels of Romano 2006 (from memory). Interval: circular "
       "block bootstrap, Politis and Romano 1992 (from memory). The same: two one-sided "
       "tests, Schuirmann 1987 (from memory). Many signals: Benjamini and Hochberg 1995. "
       "Bands, windows and margins: common practice, no source.",
       "SHA-256: FIPS 180-4.", "Each caution names what it rests on beside it."}));
}

}  // namespace proofdrive::output
