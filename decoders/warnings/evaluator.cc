#include "decoders/warnings/evaluator.h"

#include <algorithm>
#include <cmath>
#include <utility>

#include "decoders/formula/formula.h"
#include "decoders/signals/freshness.h"
#include "decoders/signals/latest_values.h"
#include "decoders/warnings/warning_track.h"

namespace proofdrive::decoders {

namespace {

// A compiled condition with room for its inputs.
struct CompiledCondition {
  std::unique_ptr<Formula> formula;
  std::vector<double> inputs;
  std::string text;
};

struct TrackedWarning {
  WarningTrack track;
  CompiledCondition when;
  CompiledCondition only_while;  // formula null when there is none
  CompiledCondition proof;       // formula null when there is no `proven by`
  bool dirty = true;
};

// All values of one instant are taken together: conditions are looked at again only when time moves
// on or somebody asks.
class Tracker {
 public:
  explicit Tracker(std::shared_ptr<const Definitions> definitions)
      : definitions_(std::move(definitions)),
        values_(*definitions_),
        freshness_(*definitions_),
        users_of_signal_(definitions_->signals.size()),
        users_of_sender_(freshness_.senders()) {
    for (const Warning& warning : definitions_->warnings) AddWarning(warning);
  }

  void Update(const Value& value) {
    MoveTo(value.time);
    const auto fresh = freshness_.Heard(value.signal, now_);
    if (fresh) MarkDirty(users_of_sender_[*fresh]);
    if (users_of_signal_[value.signal].empty()) return;
    values_.Update(value);
    MarkDirty(users_of_signal_[value.signal]);
  }

  void MoveTo(WallTime time) {
    if (!started_) return Start(time);
    if (time <= now_) return;
    Refresh();
    if (time > quiet_until_) ProcessUntil(time);
    now_ = time;
  }

  // Brings every warning up to date with the values of this instant.
  void Refresh() {
    if (!any_dirty_) return;
    any_dirty_ = false;
    for (TrackedWarning& warning : warnings_) {
      if (!warning.dirty) continue;
      warning.dirty = false;
      const bool judged =
          warning.only_while.formula == nullptr || Evaluate(warning.only_while) == Truth(true);
      const Truth when = judged ? Evaluate(warning.when) : std::nullopt;
      warning.track.Set(when, Evaluate(warning.proof), now_);
    }
    quiet_until_ = WallTime::min();
  }

  bool started() const { return started_; }
  WarningSpan Current(std::uint32_t index) {
    Refresh();
    WarningSpan span = warnings_[index].track.current();
    span.to = now_;
    return span;
  }

  std::vector<WarningHistory> Finish(WallTime end) {
    MoveTo(end);
    Refresh();
    std::vector<WarningHistory> histories;
    for (TrackedWarning& warning : warnings_) {
      if (!started_) {
        histories.emplace_back();
        continue;
      }
      const std::string why = WhyUnknown(warning);
      histories.push_back(warning.track.Finish(now_));
      if (histories.back().at_end == WarningStateKind::kUnknown) histories.back().why_unknown = why;
    }
    return histories;
  }

 private:
  using Users = std::vector<std::uint32_t>;  // indices of warnings, each once

  static void AddUser(Users& users, std::uint32_t warning) {
    if (users.empty() || users.back() != warning) users.push_back(warning);
  }

  void AddWarning(const Warning& warning) {
    const auto index = static_cast<std::uint32_t>(warnings_.size());
    TrackedWarning tracked{WarningTrack(warning), Compile(warning.when, index), {}, {}, true};
    if (warning.only_while) tracked.only_while = Compile(*warning.only_while, index);
    if (warning.proven_by) tracked.proof = Compile(warning.proven_by->condition, index);
    warnings_.push_back(std::move(tracked));
  }

  CompiledCondition Compile(const Condition& condition, std::uint32_t warning) {
    TextProblem none;  // the loader has checked the text
    CompiledCondition compiled;
    compiled.text = condition.text;
    compiled.formula =
        Formula::Compile(condition.text, FormulaKind::kCondition, *definitions_, none);
    if (compiled.formula == nullptr) return compiled;
    compiled.inputs.resize(compiled.formula->inputs().size());
    for (const FormulaInput& input : compiled.formula->inputs()) {
      AddUser(users_of_signal_[input.signal], warning);
      for (const std::uint32_t sender : freshness_.SendersOf(input.signal)) {
        AddUser(users_of_sender_[sender], warning);
      }
    }
    return compiled;
  }

  void Start(WallTime time) {
    started_ = true;
    any_dirty_ = true;
    now_ = time;
    for (TrackedWarning& warning : warnings_) warning.track.Start(time);
  }

  void MarkDirty(const Users& users) {
    for (const std::uint32_t user : users) warnings_[user].dirty = true;
    any_dirty_ = any_dirty_ || !users.empty();
  }

  Truth Evaluate(CompiledCondition& condition) {
    if (condition.formula == nullptr) return std::nullopt;
    const auto inputs = condition.formula->inputs();
    for (std::size_t i = 0; i < inputs.size(); ++i) {
      condition.inputs[i] =
          freshness_.IsFresh(inputs[i].signal) ? values_.Read(inputs[i]) : std::nan("");
    }
    const double value = condition.formula->Evaluate(condition.inputs);
    if (std::isnan(value)) return std::nullopt;
    return value != 0;
  }

  // Takes, in order of time, what happens by itself: debouncing ends at `time` at the latest,
  // senders become stale before it. At the same instant debouncing comes first.
  void ProcessUntil(WallTime time) {
    while (true) {
      TrackedWarning* next = nullptr;
      WallTime change = WallTime::max();
      for (TrackedWarning& warning : warnings_) {
        if (warning.track.NextChange() >= change) continue;
        change = warning.track.NextChange();
        next = &warning;
      }
      std::uint32_t sender = 0;
      const WallTime stale = freshness_.NextStale(sender);
      if (next != nullptr && change <= stale && change <= time) {
        now_ = std::max(now_, change);
        next->track.Settle(now_);
      } else if (stale < time) {
        now_ = std::max(now_, stale);
        freshness_.SetStale(sender);
        MarkDirty(users_of_sender_[sender]);
        Refresh();
      } else {
        // Values that arrive later can only put these off, except through Refresh.
        quiet_until_ = std::min(stale, change);
        return;
      }
    }
  }

  std::string WhyUnknown(TrackedWarning& warning) {
    if (warning.track.when()) {
      return "its condition held for only " + FormatDuration(warning.track.HeldFor(now_));
    }
    if (warning.when.formula == nullptr) return "its condition cannot be evaluated";
    if (auto why = WhyUnusable(warning.only_while); !why.empty()) return why;
    if (warning.only_while.formula != nullptr && Evaluate(warning.only_while) != Truth(true)) {
      return "it is judged only while " + warning.only_while.text;
    }
    if (auto why = WhyUnusable(warning.when); !why.empty()) return why;
    return "its condition has no result with these values";
  }

  // Empty when every input has a value.
  std::string WhyUnusable(const CompiledCondition& condition) const {
    if (condition.formula == nullptr) return {};
    for (const FormulaInput& input : condition.formula->inputs()) {
      std::string why = WhyUnusable(input);
      if (!why.empty()) return why;
    }
    return {};
  }

  std::string WhyUnusable(const FormulaInput& input) const {
    const std::string& name = definitions_->signals[input.signal].name;
    const LatestValues::Why why = values_.WhyUnknown(input);
    if (why == LatestValues::Why::kNever) return name + " was never received";
    if (!freshness_.IsFresh(input.signal)) {
      return name + " was not received for the last " +
             FormatDuration(now_ - freshness_.LastHeard(input.signal));
    }
    switch (why) {
      case LatestValues::Why::kAbsent:
        return name + " was sent without a value";
      case LatestValues::Why::kOutOfRange:
        return name + " was out of its range";
      case LatestValues::Why::kIncomplete:
        return name + " was received in part only";
      default:
        return {};
    }
  }

  std::shared_ptr<const Definitions> definitions_;
  LatestValues values_;
  Freshness freshness_;
  std::vector<TrackedWarning> warnings_;
  std::vector<Users> users_of_signal_;
  std::vector<Users> users_of_sender_;
  bool started_ = false;
  bool any_dirty_ = false;
  WallTime now_;
  WallTime quiet_until_ = WallTime::min();  // nothing happens by itself before
};

class EvaluatorImpl : public WarningEvaluator {
 public:
  explicit EvaluatorImpl(std::shared_ptr<const Definitions> definitions)
      : tracker_(std::make_unique<Tracker>(std::move(definitions))) {}

  void Update(const Value& value) override { tracker_->Update(value); }
  void AdvanceTo(WallTime now) override {
    tracker_->MoveTo(now);
    tracker_->Refresh();
  }
  WarningSpan Current(std::uint32_t index) const override {
    return tracker_->started() ? tracker_->Current(index) : WarningSpan{};
  }
  std::vector<WarningHistory> Finish(WallTime end) override { return tracker_->Finish(end); }

 private:
  // Behind a pointer, because asking for the current state may bring it up to date.
  std::unique_ptr<Tracker> tracker_;
};

}  // namespace

std::unique_ptr<WarningEvaluator> WarningEvaluator::Create(
    std::shared_ptr<const Definitions> definitions) {
  return std::make_unique<EvaluatorImpl>(std::move(definitions));
}

}  // namespace proofdrive::decoders
