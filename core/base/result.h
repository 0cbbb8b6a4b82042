// Status and Result<T>: how every fallible function of the project reports failure.
//
// There are few kinds of error and each exists because some caller acts on it. The text is built
// outward: each level adds what it was doing ("append chunk 17: cabin.session: No space left on
// device"). Functions that return Status or Result do not throw and do not log.
#pragma once

#include <cassert>
#include <string>
#include <string_view>
#include <utility>
#include <variant>

namespace proofdrive {

// What a caller may do differently. Keep ErrorKindName in step.
enum class ErrorKind {
  kInvalidArgument,     // the user's words or a caller's argument are off: say how to correct them
  kNotFound,            // a file, interface, signal or session is not there
  kAlreadyExists,       // would overwrite something
  kTruncated,           // input ends early: use what is there
  kCorrupt,             // a checksum or a rule of the format is violated: skip and count
  kUnsupportedVersion,  // written by a newer Proofdrive
  kBusy,                // locked or in use by another process
  kNoSpace,             // disk full: stop cleanly, keep what is there
  kTooLarge,            // a file may not grow any more here: go on in another
  kPermission,          // the operating system refuses
  kUnavailable,         // interface down or peer silent: may come back
  kIo,                  // any other failure of the operating system
  kCancelled,           // asked to stop
  kInternal,            // a bug in Proofdrive
};

std::string_view ErrorKindName(ErrorKind kind);

// Success, or a kind of error with a sentence for people.
class [[nodiscard]] Status {
 public:
  Status() = default;
  Status(ErrorKind kind, std::string message)
      : ok_(false), kind_(kind), message_(std::move(message)) {}

  static Status Ok() { return {}; }
  // Translates an errno value; `what` names the operation and the object.
  static Status FromErrno(int error_number, std::string_view what);

  bool ok() const { return ok_; }
  // REQUIRES: !ok().
  ErrorKind kind() const {
    assert(!ok_);
    return kind_;
  }
  // Empty when ok().
  const std::string& message() const { return message_; }

  // The same status with "context: " before its message. No effect when ok().
  Status WithContext(std::string_view context) const;

 private:
  bool ok_ = true;
  ErrorKind kind_ = ErrorKind::kInternal;
  std::string message_;
};

// A value, or the status that says why there is none.
template <class T>
class [[nodiscard]] Result {
 public:
  Result(T value) : state_(std::move(value)) {}        // NOLINT: implicit on purpose
  Result(Status status) : state_(std::move(status)) {  // NOLINT: implicit on purpose
    assert(!std::get<Status>(state_).ok());
  }

  bool ok() const { return std::holds_alternative<T>(state_); }
  Status status() const { return ok() ? Status::Ok() : std::get<Status>(state_); }

  // REQUIRES: ok().
  T& value() & {
    assert(ok());
    return std::get<T>(state_);
  }
  const T& value() const& {
    assert(ok());
    return std::get<T>(state_);
  }
  T&& value() && {
    assert(ok());
    return std::get<T>(std::move(state_));
  }
  T& operator*() & { return value(); }
  const T& operator*() const& { return value(); }
  T&& operator*() && { return std::move(*this).value(); }
  T* operator->() { return &value(); }
  const T* operator->() const { return &value(); }

 private:
  std::variant<T, Status> state_;
};

}  // namespace proofdrive

// Returns the status of `expression` from the enclosing function unless it is ok.
#define RETURN_IF_ERROR(expression)                              \
  do {                                                           \
    ::proofdrive::Status status_of_expression = (expression);    \
    if (!status_of_expression.ok()) return status_of_expression; \
  } while (false)

#define PROOFDRIVE_CONCAT_(a, b) a##b
#define PROOFDRIVE_CONCAT(a, b) PROOFDRIVE_CONCAT_(a, b)
#define PROOFDRIVE_ASSIGN_OR_RETURN_(result, target, expression) \
  auto result = (expression);                                    \
  if (!result.ok()) return result.status();                      \
  target = std::move(result).value()

// ASSIGN_OR_RETURN(auto x, MakeX()): declares x, or returns MakeX's status.
#define ASSIGN_OR_RETURN(target, expression) \
  PROOFDRIVE_ASSIGN_OR_RETURN_(PROOFDRIVE_CONCAT(result_at_line_, __LINE__), target, expression)
