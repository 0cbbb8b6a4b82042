#include "core/base/result.h"

#include <gtest/gtest.h>

#include <cerrno>
#include <memory>

#include "core/base/counters.h"
#include "tests/support/matchers.h"

namespace proofdrive {
namespace {

using ::proofdrive::testing::IsError;

Result<int> Half(int value) {
  if (value % 2 != 0) return Status(ErrorKind::kInvalidArgument, "odd");
  return value / 2;
}

Result<int> Quarter(int value) {
  ASSIGN_OR_RETURN(const int half, Half(value));
  ASSIGN_OR_RETURN(const int quarter, Half(half));
  return quarter;
}

Status CheckQuarter(int value) {
  RETURN_IF_ERROR(Quarter(value).status().WithContext("quarter"));
  return Status::Ok();
}

TEST(ResultTest, MacrosPassValuesAndErrorsOn) {
  EXPECT_EQ(Quarter(8).value(), 2);
  EXPECT_THAT(Quarter(6), IsError(ErrorKind::kInvalidArgument, "odd"));
  EXPECT_OK(CheckQuarter(4));
  EXPECT_THAT(CheckQuarter(1), IsError(ErrorKind::kInvalidArgument, "quarter: odd"));
}

TEST(ResultTest, HoldsValuesThatOnlyMove) {
  Result<std::unique_ptr<int>> result(std::make_unique<int>(7));
  const std::unique_ptr<int> taken = std::move(result).value();
  EXPECT_EQ(*taken, 7);
}

TEST(StatusTest, ErrnoBecomesAKindACallerCanActOn) {
  EXPECT_THAT(Status::FromErrno(ENOSPC, "append x"),
              IsError(ErrorKind::kNoSpace, "append x: No space left on device"));
  EXPECT_EQ(Status::FromErrno(EACCES, "").kind(), ErrorKind::kPermission);
  EXPECT_EQ(Status::FromErrno(ENODEV, "").kind(), ErrorKind::kNotFound);
  EXPECT_EQ(Status::FromErrno(ENETDOWN, "").kind(), ErrorKind::kUnavailable);
  EXPECT_EQ(Status::FromErrno(EIO, "").kind(), ErrorKind::kIo);
}

TEST(StatusTest, EveryKindHasAName) {
  for (int kind = 0; kind <= static_cast<int>(ErrorKind::kInternal); ++kind) {
    EXPECT_NE(ErrorKindName(static_cast<ErrorKind>(kind)), "unknown error");
  }
}

TEST(CountersTest, EveryCounterHasANameAndAdvice) {
  for (const CounterInfo& info : kCounterInfo) {
    EXPECT_FALSE(info.name.empty());
    EXPECT_FALSE(info.advice.empty());
  }
}

TEST(CountersTest, AddsUp) {
  Counters counters;
  counters.Add(Counter::kKernelDrops, 3);
  counters.Add(Counter::kKernelDrops);
  EXPECT_EQ(counters.Get(Counter::kKernelDrops), 4U);
  EXPECT_EQ(counters.Get(Counter::kQueueDrops), 0U);
}

}  // namespace
}  // namespace proofdrive
