#include "daemon/asking/desk.h"

#include <algorithm>
#include <utility>

#include "core/base/text.h"
#include "daemon/asking/asked_text.h"
#include "decoders/model/unit_address.h"

namespace proofdrive::daemon {
namespace {

constexpr Duration kLook = std::chrono::milliseconds(100);
constexpr std::size_t kMostJobs = 16;
constexpr int kMostFailures = 3;  // of a reading; then it is asked for rarely
constexpr Duration kRarely = std::chrono::seconds(30);
constexpr Duration kSettle = std::chrono::seconds(2);  // after clearing

std::vector<session::Channel> Sending(const DeskSetup& setup) {
  std::vector<session::Channel> channels;
  const auto numbers = setup.gate.channels();
  for (const session::Channel& channel : setup.channels) {
    if (std::find(numbers.begin(), numbers.end(), channel.number) != numbers.end()) {
      channels.push_back(channel);
    }
  }
  return channels;
}

// Who can be asked, and where.
decoders::AskedDocument DocumentHead(const DeskSetup& setup) {
  decoders::AskedDocument document;
  const auto channels = Sending(setup);
  for (const session::Channel& channel : channels) {
    document.channels.push_back({channel.number, channel.name, channel.bus});
  }
  for (const KnownUnit& unit : Questions::NamedUnits(setup.definitions.get(), channels)) {
    document.named.push_back({unit.name, unit.address});
  }
  return document;
}

web::Response Told(const std::string& json) {
  web::Response response;
  response.body = json + "\n";
  return response;
}

bool Answered(const Result<decoders::Conversation>& conversation) {
  return conversation.ok() && !conversation->answers.empty() &&
         conversation->answers.front().kind == decoders::AnswerKind::kPositive;
}

}  // namespace

RequestDesk::RequestDesk(DeskSetup setup, FrameQueue& queue, const SnapshotBox& box,
                         const Clock& clock, Log& log)
    : setup_(std::move(setup)),
      book_(decoders::AddressBookOf(setup_.definitions.get())),
      queue_(queue),
      box_(box),
      clock_(clock),
      log_(log),
      asker_(setup_.gate, book_, clock),
      questions_(asker_, setup_.definitions.get(), Sending(setup_)) {
  if (setup_.definitions == nullptr) return;
  for (const decoders::Reading& reading : setup_.definitions->readings) {
    readings_.push_back({&reading});
  }
}

void RequestDesk::Start() {
  thread_ = std::thread([this] { Run(); });
}

void RequestDesk::Stop() {
  {
    const std::lock_guard lock(mutex_);
    stopped_ = true;
  }
  asker_.Cancel();
  work_.notify_all();
  if (thread_.joinable()) thread_.join();
}

void RequestDesk::Put(Job job, const Reply& reply) {
  {
    const std::lock_guard lock(mutex_);
    if (!stopped_ && jobs_.size() < kMostJobs) {
      jobs_.push_back(std::move(job));
      work_.notify_one();
      return;
    }
  }
  if (reply) reply(web::Refusal(503, "too many questions are waiting already: try again later"));
}

bool RequestDesk::TakeJob(Job& job) {
  std::unique_lock lock(mutex_);
  work_.wait_for(lock, kLook, [this] { return stopped_ || !jobs_.empty(); });
  if (stopped_ || jobs_.empty()) return false;
  job = std::move(jobs_.front());
  jobs_.pop_front();
  return true;
}

void RequestDesk::Run() {
  while (true) {
    Job job;
    const bool any = TakeJob(job);
    {
      const std::lock_guard lock(mutex_);
      if (stopped_) return;
    }
    WatchRecording();  // the snapshot at the start comes before what is asked on demand
    if (any) job();
    AskReadings();
  }
}

void RequestDesk::WatchRecording() {
  const auto snapshot = box_.Get();
  if (!snapshot->recording) {
    recording_.clear();
    return;
  }
  const RecordingInfo& recording = *snapshot->recording;
  if (recording.path != recording_) {
    recording_ = recording.path;
    end_taken_ = false;
    Take("codes", "start");
    Take("identification", "start");
    return;
  }
  const bool timed = recording.planned && *recording.planned > 3 * kLead;
  if (!timed || end_taken_ || recording.length < *recording.planned - kLead) return;
  end_taken_ = true;
  Take("codes", "end");
}

// One reading per look, the one that is due for longest, so that the bus keeps its peace.
void RequestDesk::AskReadings() {
  if (recording_.empty()) return;
  for (std::size_t asked = 0; asked < readings_.size(); ++asked) {
    const SteadyTime now = clock_.Now().steady;
    const auto next =
        std::min_element(readings_.begin(), readings_.end(),
                         [](const DueReading& a, const DueReading& b) { return a.due < b.due; });
    if (next == readings_.end() || next->due > now) return;
    next->failures = Answered(questions_.Read(*next->reading)) ? 0 : next->failures + 1;
    const bool rarely = next->failures >= kMostFailures;
    next->due = now + (rarely ? std::max(kRarely, next->reading->every) : next->reading->every);
    if (next->failures == kMostFailures) {
      log_.Warning(setup_.definitions->signals[next->reading->signal].name + ": " +
                   next->reading->control_unit + " does not answer; asked rarely from now on");
    }
    const std::lock_guard lock(mutex_);
    if (stopped_ || !jobs_.empty()) return;
  }
}

std::string RequestDesk::Take(const std::string& what, const std::string& reason, bool vin) {
  AskedRound round = what == "codes"   ? questions_.Codes()
                     : what == "clear" ? questions_.Clear()
                                       : questions_.Identification(vin);
  decoders::AskedDocument document = DocumentHead(setup_);
  document.what = what;
  document.reason = reason;
  document.time = box_.Get()->time;
  document.problem = std::move(round.problem);
  document.conversations = std::move(round.conversations);
  std::string json = decoders::WriteAskedDocument(document);
  MakeEvent(document, json);
  return json;
}

void RequestDesk::MakeEvent(const decoders::AskedDocument& document, const std::string& json) {
  session::Event event;
  event.time = document.time;
  event.kind = document.what == "codes"            ? session::EventKind::kCodeSnapshot
               : document.what == "identification" ? session::EventKind::kIdentification
                                                   : session::EventKind::kNotice;
  event.text = AskedText(document, setup_.definitions.get());
  event.data = json;
  log_.Info(Printable(event.text));
  queue_.PutEvent(event);
}

void RequestDesk::Codes(const std::string& reason, const Reply& reply) {
  Put([this, reason, reply] { reply(Told(Take("codes", reason))); }, reply);
}

void RequestDesk::Identify(bool vin, const Reply& reply) {
  Put([this, vin, reply] { reply(Told(Take("identification", "on demand", vin))); }, reply);
}

void RequestDesk::Clear(const ClearWish& wish, const Reply& reply) {
  Put([this, wish, reply] { reply(wish.confirm.empty() ? AskAgain(wish) : ClearNow(wish)); },
      reply);
}

web::Response RequestDesk::AskAgain(const ClearWish& wish) {
  const Status may = CheckMayClear(*box_.Get(), wish.reason);
  if (!may.ok()) return web::Refusal(409, may.message());
  const std::string codes = Take("codes", "before clearing");
  const std::string word = confirmation_.Give(clock_.Now().steady);
  return Told("{\"confirm\":\"" + word + "\",\"before\":" + codes + "}");
}

web::Response RequestDesk::ClearNow(const ClearWish& wish) {
  if (!confirmation_.Take(wish.confirm, clock_.Now().steady)) {
    return web::Refusal(
        409,
        "that is not the word that was given out, or it is older than five minutes: "
        "begin again without --confirm");
  }
  const Status may = CheckMayClear(*box_.Get(), wish.reason);
  if (!may.ok()) return web::Refusal(409, may.message());
  const std::string before = Take("codes", "before clearing");
  const std::string reason =
      Trim(wish.reason).empty() ? "asked by the user" : "asked by the user: " + wish.reason;
  const std::string cleared = Take("clear", reason);
  {
    std::unique_lock lock(mutex_);
    work_.wait_for(lock, kSettle, [this] { return stopped_; });
  }
  const std::string after = Take("codes", "after clearing");
  return Told("{\"before\":" + before + ",\"cleared\":" + cleared + ",\"after\":" + after + "}");
}

}  // namespace proofdrive::daemon
