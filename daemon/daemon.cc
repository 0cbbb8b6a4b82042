#include "daemon/daemon.h"

#include <unistd.h>

#include <exception>
#include <iostream>
#include <thread>
#include <utility>

#include "core/base/posix_files.h"
#include "core/base/text.h"
#include "daemon/asking/desk.h"
#include "daemon/control/api.h"
#include "daemon/options/parse_options.h"
#include "daemon/page/embedded_file.h"
#include "daemon/pipeline/pipeline.h"
#include "daemon/process/posix_signals.h"
#include "daemon/process/service_notices.h"
#include "daemon/process/status_line.h"
#include "daemon/publishing/messages.h"
#include "daemon/recording/session_header.h"
#include "daemon/sources/simulation.h"
#include "decoders/authoring/diagnostics.h"
#include "mqtt/publisher.h"
#include "session/model/names.h"
#include "web/access/token.h"
#include "web/server/server.h"

namespace proofdrive::daemon {
namespace {

// The writing thread tells how things are every 0.2 s; a disk may make it wait for seconds.
constexpr Duration kStuck = std::chrono::seconds(20);

// Hands what a source delivers to the queue: live frames are dropped when it is full, others wait.
class QueueSink : public SourceSink {
 public:
  QueueSink(FrameQueue& queue, bool live) : queue_(queue), live_(live) {}
  // Who asks control units hears their answers, too. Before the source starts.
  void Tell(RequestDesk* desk) { desk_ = desk; }
  void OnFrames(std::span<const Frame> frames) override {
    if (live_) {
      queue_.Offer(frames);
    } else {
      queue_.Put(frames);
    }
    // After the queue: what ends with an answer must not overtake it.
    if (desk_ != nullptr) desk_->OnFrames(frames);
  }
  void OnEvent(const session::Event& event) override { queue_.PutEvent(event); }
  void OnCondition(std::uint8_t channel, const ChannelCondition& condition) override {
    queue_.PutCondition(channel, condition);
  }

 private:
  FrameQueue& queue_;
  const bool live_;
  RequestDesk* desk_ = nullptr;
};

struct LoadedDefinitions {
  std::shared_ptr<const decoders::Definitions> definitions;
  std::vector<decoders::SourceText> texts;
};

// `warnings` gets what is odd but no mistake.
Result<LoadedDefinitions> Load(const Options& options, Files& files, std::string& warnings) {
  LoadedDefinitions loaded;
  if (options.definitions.empty()) return loaded;
  const auto result = decoders::LoadDefinitionFiles(files, options.definitions);
  if (!result.ok()) {
    return Status(ErrorKind::kInvalidArgument, "the definition files have mistakes:\n" +
                                                   decoders::FormatDiagnostics(result.diagnostics));
  }
  warnings = decoders::FormatDiagnostics(result.diagnostics);
  loaded.definitions = result.definitions;
  ASSIGN_OR_RETURN(loaded.texts, decoders::ReadSources(files, options.definitions));
  return loaded;
}

// Every part, in the order they are built; they are taken down in the opposite order.
class Daemon {
 public:
  // `status_line` may be null.
  Daemon(const Options& options, Environment& environment, StatusLine* status_line)
      : options_(options), environment_(environment), status_line_(status_line) {}
  ~Daemon() { ShutDown(); }

  Status Build() {
    std::string warnings;
    ASSIGN_OR_RETURN(const LoadedDefinitions loaded, Load(options_, environment_.files, warnings));
    if (!warnings.empty()) environment_.log.Warning("In the definition files:\n" + warnings);
    RETURN_IF_ERROR(MakeSources());
    MakePipeline(loaded);
    if (options_.allow_requests) MakeDesk(loaded);
    RETURN_IF_ERROR(MakeServer());
    if (!options_.mqtt.broker.host.empty()) RETURN_IF_ERROR(MakePublisher());
    if (options_.record) {
      const auto path = pipeline_->StartRecording(*options_.record);
      if (!path.ok()) return path.status();
    }
    return Status::Ok();
  }

  Status Run() {
    environment_.log.Info(desk_ == nullptr
                              ? "Listening only: no frame is ever sent."
                              : "Requests are allowed: control units are asked, read-only.");
    writing_ = std::thread([this] { pipeline_->Run(); });
    server_->Start();
    for (std::size_t i = 0; i < sources_.size(); ++i) {
      RETURN_IF_ERROR(sources_[i]->Start(*sinks_[i]));
    }
    if (desk_) desk_->Start();
    WaitForEnd();
    ShutDown();
    return outcome_;
  }

 private:
  Status MakeSources() {
    std::size_t next = 0;
    for (const SourceSpec& spec : options_.sources) {
      SourceContext context{environment_.files, environment_.clock, environment_.log, counters_,
                            static_cast<std::uint8_t>(next)};
      // Whoever asks for a recording at once is there to mend what is missing.
      context.wait = !options_.record.has_value();
      if (environment_.can_interfaces) context.can_interfaces = &environment_.can_interfaces;
      auto source = spec.kind->make(spec.argument, context);
      if (!source.ok()) return source.status().WithContext("--source " + spec.text);
      for (const session::Channel& channel : (*source)->channels()) channels_.push_back(channel);
      next = channels_.size();
      if (next > 255) return Status(ErrorKind::kInvalidArgument, "more than 255 channels");
      live_ = live_ || (*source)->live();
      sinks_.push_back(std::make_unique<QueueSink>(queue_, (*source)->live()));
      sources_.push_back(std::move(*source));
    }
    return Status::Ok();
  }

  void MakePipeline(const LoadedDefinitions& loaded) {
    PipelineSetup setup;
    setup.recorder.directory = options_.sessions;
    setup.recorder.live = live_;
    setup.recorder.parts = options_.parts;
    setup.recorder.budget = options_.budget;
    setup.recorder.upkeep_aside = true;
    setup.recorder.header =
        MakeSessionHeader(SourcesText(options_), channels_, loaded.definitions.get(), loaded.texts);
    setup.definitions = loaded.definitions;
    setup.sources = SourcesText(options_);
    setup.policy = options_.policy;
    setup.end_with_recording = options_.record.has_value();
    setup.sources_finished = [this] { return SourcesFinished(); };
    setup.on_ended = [this](const RecordingInfo& ended) { OnEnded(ended); };
    pipeline_ = std::make_unique<Pipeline>(queue_, environment_.files, environment_.clock,
                                           environment_.log, counters_, box_, std::move(setup));
  }

  Status MakeServer() {
    web::ServerSetup setup;
    setup.socket = options_.socket;
    setup.page = options_.page;
    if (options_.page) {
      ASSIGN_OR_RETURN(setup.token, options_.page_token.empty()
                                        ? web::RandomToken()
                                        : web::ReadOrMakeToken(options_.page_token));
    }
    ControlApi api(queue_, *pipeline_, box_);
    if (desk_) api.AllowRequests(desk_.get());
    setup.routes = api.Routes();
    setup.files = EmbeddedFiles();
    setup.live = api.feed();
    ASSIGN_OR_RETURN(server_, web::Server::Create(setup, environment_.log));
    if (options_.page) TellPage(api, setup.token);
    return Status::Ok();
  }

  // A log may be kept, and read by others: it does not get the token.
  void TellPage(const ControlApi& api, const std::string& token) const {
    const std::string address = "http://" + server_->page()->Text() + "/";
    api.SetPageLink(address + "#token=" + token);
    environment_.log.Info(environment_.terminal == nullptr
                              ? "The live page is at " + address +
                                    " (the link that opens it: proofdrive status)"
                              : "The live page is at " + address + "#token=" + token);
  }

  Status MakePublisher() {
    const auto messages =
        std::make_shared<MqttMessages>(options_.mqtt.prefix, options_.mqtt_signals);
    const mqtt::Collect collect = [this, messages](bool anew) {
      if (anew) messages->Restart();
      return messages->Collect(*box_.Get());
    };
    ASSIGN_OR_RETURN(mqtt_, mqtt::Publisher::Create(options_.mqtt, collect, environment_.log));
    return Status::Ok();
  }

  // The only place that opens a way out, and only when the user has allowed it.
  void MakeDesk(const LoadedDefinitions& loaded) {
    DeskSetup setup;
    setup.definitions = loaded.definitions;
    setup.channels = channels_;
    for (std::size_t i = 0; i < sources_.size(); ++i) {
      AddSender(*sources_[i], options_.sources[i], setup.gate);
    }
    desk_ = std::make_unique<RequestDesk>(std::move(setup), queue_, box_, environment_.clock,
                                          environment_.log);
    for (const auto& sink : sinks_) sink->Tell(desk_.get());
  }

  static void AddSender(FrameSource& source, const SourceSpec& spec, RequestGate& gate) {
    const auto channels = source.channels();
    if (channels.empty()) return;
    const std::uint8_t first = channels.front().number;
    if (Simulation* simulation = source.simulation()) {  // lives as long as the source
      gate.Add(first, channels.size(), {&simulation->inlet(), [](FrameSender*) {}});
      return;
    }
    if (spec.kind->make_sender == nullptr) return;
    gate.Add(first, channels.size(), spec.kind->make_sender(spec.argument));
  }

  bool SourcesFinished() const {
    for (const auto& source : sources_) {
      if (!source->finished()) return false;
    }
    return true;
  }

  // On the writing thread.
  void OnEnded(const RecordingInfo& ended) {
    WriteTruth(ended);
    if (!options_.record) return;
    const std::string& why = ended.problem.empty() ? ended.trouble : ended.problem;
    if (!why.empty()) outcome_ = Status(ErrorKind::kIo, why);
    environment_.stop.Ask();
  }

  void WriteTruth(const RecordingInfo& ended) {
    for (const auto& source : sources_) {
      const Simulation* simulation = source->simulation();
      if (simulation == nullptr) continue;
      const Status written =
          ReplaceFile(environment_.files, session::TruthPath(ended.path), simulation->TruthJson());
      if (!written.ok()) environment_.log.Warning("No truth file: " + written.message());
      return;
    }
  }

  void WaitForEnd() {
    notices_.Ready(StatusLineText(*box_.Get()));
    while (!environment_.stop.WaitFor(std::chrono::seconds(1))) {
      const auto snapshot = box_.Get();
      const std::string text = StatusLineText(*snapshot);
      if (status_line_ != nullptr) status_line_->Show(text);
      // Held back while the writing thread is stuck, so that the watchdog notices.
      if (environment_.clock.Now().steady - snapshot->now < kStuck) notices_.Alive(text);
    }
    notices_.Stopping();
  }

  // Sources first, so that nothing new comes; what is in the queue is still recorded.
  void ShutDown() {
    if (desk_) desk_->Stop();
    for (const auto& source : sources_) source->Stop();
    queue_.Close();
    if (writing_.joinable()) writing_.join();
    if (server_) server_->Stop();
    mqtt_.reset();
  }

  const Options& options_;
  Environment& environment_;
  StatusLine* const status_line_;
  Counters counters_;
  SnapshotBox box_;
  FrameQueue queue_;
  bool live_ = false;
  std::vector<session::Channel> channels_;
  std::vector<std::unique_ptr<FrameSource>> sources_;
  std::vector<std::unique_ptr<QueueSink>> sinks_;
  std::unique_ptr<Pipeline> pipeline_;
  std::unique_ptr<RequestDesk> desk_;  // null: nothing is ever sent
  std::unique_ptr<web::Server> server_;
  std::unique_ptr<mqtt::Publisher> mqtt_;
  std::thread writing_;
  const ServiceNotices notices_{};
  Status outcome_;  // written by the writing thread, read after it was joined
};

Status BuildAndRun(const Options& options, Environment& environment, StatusLine* status_line) {
  Daemon daemon(options, environment, status_line);
  RETURN_IF_ERROR(daemon.Build());
  return daemon.Run();
}

int Fail(const std::string& message) {
  std::cerr << "proofdrived: " << message << std::endl;
  return 2;
}

// --check-config: the options are right, and so must be the definition files they name.
int CheckOnly(const Options& options, Files& files) {
  std::string warnings;
  const auto loaded = Load(options, files, warnings);
  if (!loaded.ok()) return Fail(loaded.status().message());
  std::cerr << warnings;
  std::cout << (options.config.empty() ? "options" : options.config) << ": no mistakes\n";
  return 0;
}

int ParseAndRun(int argc, char** argv) {
  PosixFiles files;
  const auto parsed = ParseOptions(argc, argv, files);
  if (!parsed.ok()) return Fail(parsed.status().message());
  if (parsed->answer) {
    std::cout << *parsed->answer;
    return 0;
  }
  if (parsed->options.check_config) return CheckOnly(parsed->options, files);
  StopFlag stop;
  const bool attended = ::isatty(STDERR_FILENO) == 1;
  const SignalWatcher signals(stop, attended);
  const SystemClock clock;
  const auto log = Log::ToStandardError(parsed->options.log_level);
  Environment environment{files, clock, *log, stop, attended ? &std::cerr : nullptr};
  const Status status = RunDaemon(parsed->options, environment);
  return status.ok() ? 0 : Fail(status.message());
}

}  // namespace

Status RunDaemon(const Options& options, Environment& environment) {
  if (environment.terminal == nullptr) return BuildAndRun(options, environment, nullptr);
  StatusLine line(environment.log, *environment.terminal);
  Environment beside{environment.files, environment.clock, line, environment.stop,
                     environment.terminal};
  return BuildAndRun(options, beside, &line);
}

int DaemonMain(int argc, char** argv) {
  try {
    return ParseAndRun(argc, argv);
  } catch (const std::exception& error) {  // a library below threw: say so, never crash
    return Fail(std::string("internal error: ") + error.what());
  }
}

}  // namespace proofdrive::daemon
