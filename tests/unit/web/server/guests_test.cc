#include "web/server/guests.h"

#include <gmock/gmock.h>

#include <memory>
#include <vector>

namespace proofdrive::web {
namespace {

using std::chrono::seconds;

struct CountingGuest : Guest {
  using Guest::Guest;
  void Cut() override { ++cuts; }
  int cuts = 0;
};

class GuestsTest : public ::testing::Test {
 protected:
  CountingGuest& Come(const std::string& address) {
    all_.push_back(std::make_unique<CountingGuest>(address));
    guests_.Add(*all_.back());
    return *all_.back();
  }
  Guest::Clock::time_point Later() { return Guest::Clock::now() + seconds(2); }

  Guests guests_{4, 2};
  std::vector<std::unique_ptr<CountingGuest>> all_;
};

TEST_F(GuestsTest, OneAddressCannotTakeThePlacesOfOthers) {
  CountingGuest& first = Come("a");
  Come("a");
  EXPECT_FALSE(guests_.MakeRoom("a")) << "both have moved just now";
  EXPECT_TRUE(guests_.MakeRoom("b"));
  EXPECT_TRUE(guests_.MakeRoom("a", Later()));
  EXPECT_EQ(first.cuts, 1) << "the slowest of its own address";
  EXPECT_EQ(guests_.size(), 1u);
}

TEST_F(GuestsTest, WhoMovesStays) {
  CountingGuest& first = Come("a");
  CountingGuest& second = Come("a");
  first.Moved();
  EXPECT_TRUE(guests_.MakeRoom("a", Later()));
  EXPECT_EQ(first.cuts, 0);
  EXPECT_EQ(second.cuts, 1);
}

TEST_F(GuestsTest, WhenAllPlacesAreTakenTheAddressWithMostGivesOne) {
  CountingGuest& lonely = Come("a");
  Come("b");
  CountingGuest& crowd = Come("c");
  Come("c");
  EXPECT_FALSE(guests_.MakeRoom("d"));
  EXPECT_TRUE(guests_.MakeRoom("d", Later()));
  EXPECT_EQ(lonely.cuts, 0);
  EXPECT_EQ(crowd.cuts, 1);
}

}  // namespace
}  // namespace proofdrive::web
