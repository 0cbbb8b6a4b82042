// The real proofdrived as a child process, for integration tests.
#pragma once

#include <fcntl.h>
#include <signal.h>
#include <sys/wait.h>
#include <unistd.h>

#include <fstream>
#include <iterator>
#include <string>
#include <thread>
#include <vector>

#include "tests/support/places.h"

namespace proofdrive::testing {

// Killed by the destructor when it still runs.
class DaemonProcess {
 public:
  // Standard error goes to the file `log`.
  DaemonProcess(std::vector<std::string> arguments, std::string log) : log_(std::move(log)) {
    arguments.insert(arguments.begin(), BuildPath("bin/proofdrived"));
    std::vector<char*> words;
    for (std::string& argument : arguments) words.push_back(argument.data());
    words.push_back(nullptr);
    pid_ = ::fork();
    if (pid_ == 0) {
      const int out = ::open(log_.c_str(), O_WRONLY | O_CREAT | O_TRUNC, 0600);
      ::dup2(out, STDOUT_FILENO);
      ::dup2(out, STDERR_FILENO);
      ::execv(words[0], words.data());
      ::_exit(127);
    }
  }
  ~DaemonProcess() {
    if (pid_ > 0) {
      Signal(SIGKILL);
      (void)Wait();
    }
  }
  DaemonProcess(const DaemonProcess&) = delete;
  DaemonProcess& operator=(const DaemonProcess&) = delete;

  void Signal(int number) const { ::kill(pid_, number); }

  // The exit code, or -signal when a signal ended it.
  int Wait() {
    int status = 0;
    ::waitpid(pid_, &status, 0);
    pid_ = -1;
    return WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
  }

  std::string Log() const {
    std::ifstream file(log_);
    return {std::istreambuf_iterator<char>(file), {}};
  }

 private:
  const std::string log_;
  pid_t pid_ = -1;
};

}  // namespace proofdrive::testing
