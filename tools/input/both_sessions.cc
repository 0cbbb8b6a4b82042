#include "tools/input/both_sessions.h"

#include <atomic>
#include <future>

#include "tools/shell/progress.h"

namespace proofdrive::tools {
namespace {

constexpr Duration kBetweenLooks = std::chrono::milliseconds(100);

// One session being read by a thread of its own.
class Reading {
 public:
  Reading(session::Reader& reader, const analysis::DefinitionSet& set,
          analysis::FindingsOptions options)
      : all_(reader.frame_count()) {
    options.progress = [this](std::uint64_t done, std::uint64_t) { done_ = done; };
    result_ = std::async(std::launch::async, [&reader, &set, options] {
      return analysis::FindingsOf(reader, set, options);
    });
  }

  bool Ended() const { return result_.wait_for(kBetweenLooks) == std::future_status::ready; }
  std::uint64_t done() const { return done_; }
  std::uint64_t all() const { return all_; }
  Result<analysis::SessionFindings> Take() { return result_.get(); }

 private:
  const std::uint64_t all_;
  std::atomic<std::uint64_t> done_{0};
  std::future<Result<analysis::SessionFindings>> result_;  // waits for its thread when it goes
};

}  // namespace

Result<BothFindings> ReadBoth(Environment& environment, session::Reader& before,
                              session::Reader& after, const analysis::ComparisonDefinitions& chosen,
                              const analysis::FindingsOptions& options) {
  Progress progress(environment, "read both sessions");
  Reading old(before, chosen.for_before, options);
  Reading now(after, chosen.for_after, options);
  while (!old.Ended() || !now.Ended()) {
    progress.Update(old.done() + now.done(), old.all() + now.all());
  }
  BothFindings both;
  ASSIGN_OR_RETURN(both.before, old.Take());
  ASSIGN_OR_RETURN(both.after, now.Take());
  return both;
}

}  // namespace proofdrive::tools
