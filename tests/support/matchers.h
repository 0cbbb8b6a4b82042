// Matchers for Status and Result that show the message when they fail.
#pragma once

#include <gmock/gmock.h>

#include "core/base/result.h"

namespace proofdrive::testing {

inline Status StatusOf(const Status& status) { return status; }
template <class T>
Status StatusOf(const Result<T>& result) {
  return result.status();
}

MATCHER(IsOk, negation ? "is an error" : "is ok") {
  const Status status = StatusOf(arg);
  if (!status.ok()) *result_listener << ErrorKindName(status.kind()) << ": " << status.message();
  return status.ok();
}

MATCHER_P2(IsError, kind, message,
           "is " + std::string(ErrorKindName(kind)) + " with the expected message") {
  const Status status = StatusOf(arg);
  if (status.ok()) {
    *result_listener << "which is ok";
    return false;
  }
  *result_listener << "which is " << ErrorKindName(status.kind()) << ": " << status.message();
  return status.kind() == kind &&
         ::testing::ExplainMatchResult(message, status.message(), result_listener);
}

}  // namespace proofdrive::testing

#define ASSERT_OK(expression) ASSERT_THAT(expression, ::proofdrive::testing::IsOk())
#define EXPECT_OK(expression) EXPECT_THAT(expression, ::proofdrive::testing::IsOk())
