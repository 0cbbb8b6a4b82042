#include "analysis/session/envelope.h"

#include <gtest/gtest.h>

#include <cmath>

namespace proofdrive::analysis {
namespace {

using std::chrono::hours;
using std::chrono::milliseconds;
using std::chrono::seconds;

TEST(Envelope, FewValuesAreKeptAsTheyAre) {
  Envelope envelope(100);
  envelope.Add(milliseconds(10), 3);
  envelope.Add(milliseconds(20), -1);
  const auto points = envelope.Points();
  ASSERT_EQ(points.size(), 2U);
  EXPECT_EQ(points[1].at, Duration(milliseconds(20)));
  EXPECT_EQ(points[1].low, -1);
  EXPECT_EQ(points[1].high, -1);
}

TEST(Envelope, OnePeakInTenHoursIsNotLost) {
  Envelope envelope(1000);
  const Duration end = hours(10);
  for (Duration at{0}; at < end; at += milliseconds(500)) {
    envelope.Add(at, at == hours(7) ? 99 : 1);
  }
  const auto points = envelope.Points();
  EXPECT_LE(points.size(), 1000U);
  EXPECT_GE(points.size(), 500U);  // the width is never more than twice what is needed
  int peaks = 0;
  for (const EnvelopePoint& point : points) {
    EXPECT_EQ(point.low, 1);
    if (point.high != 99) continue;
    ++peaks;
    EXPECT_LE(point.at, Duration(hours(7)));
    EXPECT_GT(point.at + envelope.width(), Duration(hours(7)));
  }
  EXPECT_EQ(peaks, 1);
}

TEST(Envelope, MeanIsThatOfAllValues) {
  Envelope envelope(2);
  for (int i = 0; i < 4; ++i) envelope.Add(milliseconds(i), i);
  const auto points = envelope.Points();
  ASSERT_EQ(points.size(), 2U);
  EXPECT_EQ(points[0].mean, 0.5);
  EXPECT_EQ(points[1].mean, 2.5);
}

TEST(Envelope, SilenceLeavesNoPoints) {
  Envelope envelope(10);
  envelope.Add(seconds(0), 1);
  envelope.Add(seconds(100), 2);
  EXPECT_EQ(envelope.Points().size(), 2U);
}

TEST(Envelope, WhatIsNoNumberIsLeftOut) {
  Envelope envelope(10);
  envelope.Add(seconds(0), std::nan(""));
  envelope.Add(seconds(0), INFINITY);
  EXPECT_TRUE(envelope.Points().empty());
}

}  // namespace
}  // namespace proofdrive::analysis
