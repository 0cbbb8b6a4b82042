// A POSIX file descriptor that is closed with its owner.
#pragma once

#include <unistd.h>

namespace proofdrive {

class Descriptor {
 public:
  // Takes what open() gave; a negative one (open failed) is left alone.
  explicit Descriptor(int value) : value_(value) {}
  Descriptor(const Descriptor&) = delete;
  Descriptor& operator=(const Descriptor&) = delete;
  ~Descriptor() {
    if (value_ >= 0) ::close(value_);
  }
  int get() const { return value_; }

 private:
  const int value_;
};

}  // namespace proofdrive
