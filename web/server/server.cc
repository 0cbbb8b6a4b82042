#include "web/server/server.h"

#include <sys/stat.h>
#include <unistd.h>

#include <array>
#include <boost/asio/ip/tcp.hpp>
#include <boost/asio/local/stream_protocol.hpp>
#include <thread>

#include "web/server/listener.h"

namespace proofdrive::web {
namespace {

namespace asio = boost::asio;
using Local = asio::local::stream_protocol;
using Tcp = asio::ip::tcp;
using ErrorCode = boost::system::error_code;

// What people may call this machine in an address: its name, also in the local network.
std::vector<std::string> NamesOfThisMachine() {
  std::array<char, 256> text{};
  if (::gethostname(text.data(), text.size() - 1) != 0) return {};
  std::string name(text.data());
  for (char& c : name) {
    if (c >= 'A' && c <= 'Z') c = static_cast<char>(c - 'A' + 'a');
  }
  return {name, name + ".local"};
}

GateRules OfSocket() {
  GateRules rules;
  rules.network = false;
  return rules;
}

GateRules OfPage(const ServerSetup& setup) { return {true, setup.token, NamesOfThisMachine()}; }

class EventServer : public Server {
 public:
  EventServer(const ServerSetup& setup, Log& log)
      : setup_(setup),
        log_(log),
        tell_(context_),
        socket_(context_, setup, OfSocket(), live_, socket_guests_, "control socket", log),
        page_(context_, setup, OfPage(setup), live_, page_guests_, "live page", log) {}
  ~EventServer() override { Stop(); }

  Status Bind() {
    RETURN_IF_ERROR(BindSocket());
    return setup_.page ? BindPage() : Status::Ok();
  }

  void Start() override {
    socket_.Accept();
    if (setup_.page) page_.Accept();
    next_ = std::chrono::steady_clock::now();
    Tell();
    thread_ = std::thread([this] { context_.run(); });
  }

  void Stop() override {
    if (thread_.joinable()) {
      // Whoever asked for the end hears about it; a client that does not listen is not waited for.
      const auto limit = std::chrono::steady_clock::now() + std::chrono::seconds(1);
      while (socket_.unanswered() + page_.unanswered() > 0 &&
             std::chrono::steady_clock::now() < limit) {
        std::this_thread::sleep_for(std::chrono::milliseconds(5));
      }
      context_.stop();
      thread_.join();
    }
    ErrorCode ignored;
    socket_.acceptor.close(ignored);
    page_.acceptor.close(ignored);
    if (std::exchange(bound_, false)) ::unlink(setup_.socket.c_str());
  }

  std::optional<ListenAddress> page() const override { return setup_.page; }

 private:
  Status BindSocket() {
    const std::string& path = setup_.socket;
    RETURN_IF_ERROR(ClearPath(path));
    ErrorCode error;
    socket_.acceptor.open(Local(), error);
    if (!error) socket_.acceptor.bind(Local::endpoint(path), error);
    if (error) return Status::FromErrno(error.value(), "control socket " + path);
    bound_ = true;
    // Before listening nobody can connect, so the mode is right from the first connection on.
    if (::chmod(path.c_str(), S_IRUSR | S_IWUSR) != 0) {
      return Status::FromErrno(errno, "control socket " + path);
    }
    socket_.acceptor.listen(asio::socket_base::max_listen_connections, error);
    if (error) return Status::FromErrno(error.value(), "control socket " + path);
    return Status::Ok();
  }

  Status BindPage() {
    ListenAddress& page = *setup_.page;
    ErrorCode error;
    const Tcp::endpoint endpoint(asio::ip::make_address(page.address), page.port);
    page_.acceptor.open(endpoint.protocol(), error);
    if (!error) page_.acceptor.set_option(asio::socket_base::reuse_address(true), error);
    if (!error) page_.acceptor.bind(endpoint, error);
    if (!error) page_.acceptor.listen(asio::socket_base::max_listen_connections, error);
    if (!error) page.port = page_.acceptor.local_endpoint(error).port();
    if (error) {
      return Status::FromErrno(error.value(), "live page at " + page.Text())
          .WithContext("give --page another address or port");
    }
    return Status::Ok();
  }

  // Makes room for our socket unless somebody uses the name.
  Status ClearPath(const std::string& path) {
    struct stat info {};
    if (::lstat(path.c_str(), &info) != 0) return Status::Ok();
    if (!S_ISSOCK(info.st_mode)) {
      return Status(ErrorKind::kAlreadyExists,
                    path + " is not a socket and is left alone: give --socket another path");
    }
    ErrorCode error;
    Local::socket probe(context_);
    probe.connect(Local::endpoint(path), error);
    if (!error) {
      return Status(ErrorKind::kBusy, "a daemon answers on " + path +
                                          " already: stop it, or give --socket another path");
    }
    if (error != asio::error::connection_refused) {
      return Status::FromErrno(error.value(), "control socket " + path);
    }
    log_.Debug("Replacing the socket " + path + " that a daemon left behind");
    if (::unlink(path.c_str()) != 0) return Status::FromErrno(errno, "remove " + path);
    return Status::Ok();
  }

  // Again and again. A beat that was missed is left out, not made up for.
  void Tell() {
    setup_.live->Tick();
    if (!live_.empty()) live_.Offer(setup_.live->introduction(), setup_.live->news());
    next_ = std::max(next_ + kTellTime, std::chrono::steady_clock::now());
    tell_.expires_at(next_);
    tell_.async_wait([this](ErrorCode aborted) {
      if (!aborted) Tell();
    });
  }

  ServerSetup setup_;
  Log& log_;
  LiveListeners live_;  // outlives the connections, which are destroyed with the context
  Guests socket_guests_{kConnectionLimit, kConnectionLimit};
  Guests page_guests_{kPageConnectionLimit, kAddressConnectionLimit};
  asio::io_context context_{1};
  asio::steady_timer tell_;
  std::chrono::steady_clock::time_point next_;
  Listener<Local> socket_;
  Listener<Tcp> page_;
  bool bound_ = false;
  std::thread thread_;
};

}  // namespace

Result<std::unique_ptr<Server>> Server::Create(const ServerSetup& setup, Log& log) {
  auto server = std::make_unique<EventServer>(setup, log);
  RETURN_IF_ERROR(server->Bind());
  return std::unique_ptr<Server>(std::move(server));
}

}  // namespace proofdrive::web
