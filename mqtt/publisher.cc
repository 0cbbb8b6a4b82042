#include "mqtt/publisher.h"

#ifdef PROOFDRIVE_HAS_MQTT
#include <mosquitto.h>
#include <sys/stat.h>

#include <atomic>
#include <cerrno>
#include <condition_variable>
#include <mutex>
#include <thread>
#include <utility>

#include "core/secrets/secret_file.h"
#endif

namespace proofdrive::mqtt {

#ifndef PROOFDRIVE_HAS_MQTT

Result<std::unique_ptr<Publisher>> Publisher::Create(const PublisherSetup& /*setup*/,
                                                     Collect /*collect*/, Log& /*log*/) {
  return Status(
      ErrorKind::kUnavailable,
      "this proofdrived was built without MQTT: install libmosquitto-dev and build again");
}

#else

namespace {

constexpr char kOnline[] = "online";
constexpr char kOffline[] = "offline";
constexpr auto kRound = std::chrono::seconds(1);
constexpr std::size_t kLongestPassword = 65535;  // MQTT 3.1.1 cl. 3.1.3.5
constexpr int kKeepAliveSeconds = 20;
constexpr unsigned kLongestPauseSeconds = 30;  // between two attempts to connect

// The library counts its users and must be told of the first and the last.
struct Library {
  Library() { mosquitto_lib_init(); }
  ~Library() { mosquitto_lib_cleanup(); }
};

// The library would wait for ever for a pipe that nobody writes to.
Status CheckRegular(const std::string& path) {
  struct stat info {};
  if (::stat(path.c_str(), &info) != 0)
    return Status::FromErrno(errno, "MQTT certificates " + path);
  if (S_ISREG(info.st_mode)) return Status::Ok();
  return Status(ErrorKind::kInvalidArgument,
                "MQTT certificates " + path + " is no regular file: give one");
}

Status Failure(int code, const std::string& what) {
  if (code == MOSQ_ERR_SUCCESS) return Status::Ok();
  return Status(ErrorKind::kInvalidArgument, what + ": " + mosquitto_strerror(code));
}

class Client : public Publisher {
 public:
  Client(const PublisherSetup& setup, Collect collect, Log& log)
      : setup_(setup),
        collect_(std::move(collect)),
        log_(log),
        client_(mosquitto_new(nullptr, true, this)) {}

  ~Client() override {
    {
      const std::lock_guard lock(mutex_);
      stopping_ = true;
    }
    wake_.notify_all();
    if (thread_.joinable()) thread_.join();
    if (connected_) Publish({StatusTopic(), kOffline, true});
    mosquitto_disconnect(client_);
    // By force: the library may hang in looking up a name or in connecting.
    if (started_) mosquitto_loop_stop(client_, true);
    mosquitto_destroy(client_);
  }

  Status Start() {
    if (client_ == nullptr) return Status(ErrorKind::kIo, "MQTT: no memory");
    mosquitto_connect_callback_set(client_, [](mosquitto*, void* self, int code) {
      static_cast<Client*>(self)->OnConnect(code);
    });
    mosquitto_disconnect_callback_set(client_, [](mosquitto*, void* self, int code) {
      static_cast<Client*>(self)->OnDisconnect(code);
    });
    mosquitto_publish_callback_set(
        client_, [](mosquitto*, void* self, int) { --static_cast<Client*>(self)->waiting_; });
    RETURN_IF_ERROR(Secure());
    const std::string topic = StatusTopic();
    RETURN_IF_ERROR(
        Failure(mosquitto_will_set(client_, topic.c_str(), sizeof(kOffline) - 1, kOffline, 0, true),
                "MQTT last will"));
    mosquitto_reconnect_delay_set(client_, 1, kLongestPauseSeconds, true);
    RETURN_IF_ERROR(Failure(mosquitto_loop_start(client_), "MQTT thread"));
    started_ = true;
    thread_ = std::thread([this] { Run(); });
    return Status::Ok();
  }

 private:
  Status Secure() {
    if (!setup_.user.empty()) {
      std::string password;
      if (!setup_.password_file.empty()) {
        ASSIGN_OR_RETURN(
            password, ReadSecretLine(setup_.password_file, "MQTT password file", kLongestPassword));
      }
      RETURN_IF_ERROR(Failure(
          mosquitto_username_pw_set(client_, setup_.user.c_str(), password.c_str()), "MQTT login"));
    }
    if (setup_.authority_file.empty()) {
      if (!setup_.password_file.empty()) {
        log_.Warning("MQTT: the password goes to " + Where() +
                     " in clear, and everybody on the way can read it: give --mqtt-ca for TLS");
      }
      return Status::Ok();
    }
    RETURN_IF_ERROR(CheckRegular(setup_.authority_file));
    return Failure(mosquitto_tls_set(client_, setup_.authority_file.c_str(), nullptr, nullptr,
                                     nullptr, nullptr),
                   "MQTT certificates " + setup_.authority_file);
  }

  std::string StatusTopic() const { return setup_.prefix + "/status"; }
  std::string Where() const { return setup_.broker.host + ":" + std::to_string(Port()); }
  int Port() const {
    if (setup_.broker.port != 0) return setup_.broker.port;
    return setup_.authority_file.empty() ? 1883 : 8883;
  }

  // On the library's thread, as the next two.
  void OnConnect(int code) {
    if (code != 0) {
      log_.Warning("MQTT: " + Where() + " refuses: " + mosquitto_connack_string(code));
      return;
    }
    log_.Info("MQTT: publishing to " + Where() + " below " + setup_.prefix + "/");
    told_code_ = MOSQ_ERR_SUCCESS;
    waiting_ = 0;  // what had not left is gone with the old connection
    fresh_ = true;
    connected_ = true;
  }

  void OnDisconnect(int code) {
    const bool was = connected_.exchange(false);
    if (code == 0) return;
    if (!was) return TellUnreachable(code);
    log_.Warning("MQTT: connection to " + Where() + " lost (" + mosquitto_strerror(code) +
                 "); trying again");
  }

  // Each reason once until there is a connection: a broker may be away for days.
  void TellUnreachable(int code) {
    if (told_code_.exchange(code) == code) return;
    log_.Warning("MQTT: " + Where() + " cannot be reached (" + mosquitto_strerror(code) +
                 "); trying again");
  }

  void Connect() {
    const int code =
        mosquitto_connect_async(client_, setup_.broker.host.c_str(), Port(), kKeepAliveSeconds);
    tried_ = code == MOSQ_ERR_SUCCESS;
    if (!tried_) TellUnreachable(code);
  }

  void Run() {
    std::unique_lock lock(mutex_);
    while (!stopping_) {
      lock.unlock();
      if (!tried_) Connect();
      if (connected_ && waiting_ <= 0) PublishRound();
      lock.lock();
      wake_.wait_for(lock, kRound, [this] { return stopping_; });
    }
  }

  void PublishRound() {
    const bool anew = fresh_.exchange(false);
    if (anew) Publish({StatusTopic(), kOnline, true});
    for (const Message& message : collect_(anew)) Publish(message);
  }

  void Publish(const Message& message) {
    ++waiting_;
    const int code = mosquitto_publish(client_, nullptr, message.topic.c_str(),
                                       static_cast<int>(message.payload.size()),
                                       message.payload.data(), 0, message.retained);
    if (code != MOSQ_ERR_SUCCESS) --waiting_;
  }

  const Library library_;
  const PublisherSetup setup_;
  const Collect collect_;
  Log& log_;
  mosquitto* const client_;
  std::mutex mutex_;
  std::condition_variable wake_;
  bool stopping_ = false;
  bool started_ = false;
  bool tried_ = false;  // the library knows where to connect to, and goes on trying by itself
  std::atomic<int> told_code_ = MOSQ_ERR_SUCCESS;
  std::atomic<bool> connected_{false};
  std::atomic<bool> fresh_{false};
  std::atomic<int> waiting_{0};  // messages the library has not yet handed to the kernel
  std::thread thread_;
};

}  // namespace

Result<std::unique_ptr<Publisher>> Publisher::Create(const PublisherSetup& setup, Collect collect,
                                                     Log& log) {
  auto publisher = std::make_unique<Client>(setup, std::move(collect), log);
  RETURN_IF_ERROR(publisher->Start());
  return std::unique_ptr<Publisher>(std::move(publisher));
}

#endif

}  // namespace proofdrive::mqtt
