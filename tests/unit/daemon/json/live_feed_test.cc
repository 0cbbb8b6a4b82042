#include "daemon/json/live_feed.h"

#include <nlohmann/json.hpp>

#include <gmock/gmock.h>

#include "daemon/json/value_json.h"
#include "tests/unit/daemon/json/live_snapshot.h"

namespace proofdrive::daemon {
namespace {

using nlohmann::json;

class LiveFeedTest : public ::testing::Test {
 protected:
  void Show(Snapshot snapshot) {
    box_.Set(std::make_shared<const Snapshot>(std::move(snapshot)));
    feed_.Tick();
  }
  json Now() { return json::parse(*feed_.now()); }

  const std::shared_ptr<const decoders::Definitions> definitions_ = CartDefinitions();
  SnapshotBox box_;
  LiveFeed feed_{box_};
};

TEST_F(LiveFeedTest, DescribesTheVehicle) {
  Show(CartSnapshot(definitions_, 0));
  const json vehicle = json::parse(*feed_.vehicle());
  EXPECT_EQ(vehicle["kind"], "vehicle");
  EXPECT_EQ(vehicle["vehicle"], "Test cart (invented)");
  EXPECT_EQ(vehicle["channels"], json::parse(R"([{"name":"can0","bus":"pack","bitrate":500000}])"));
  ASSERT_EQ(vehicle["signals"].size(), 3u);
  EXPECT_EQ(vehicle["signals"][0]["states"], json({"low", "good"}));
  EXPECT_EQ(vehicle["signals"][1]["high"], 450);
  EXPECT_EQ(vehicle["signals"][1]["step"], 0.1);
  EXPECT_EQ(vehicle["signals"][2]["series"], true);
  EXPECT_EQ(vehicle["signals"][2]["count"], 3);
  EXPECT_EQ(vehicle["warnings"],
            json::parse(R"([{"name":"coolant_low","text":"Coolant level low","when":"level == low",
                             "severity":"stop"}])"));
}

TEST_F(LiveFeedTest, SaysWhatIsSoNow) {
  Snapshot snapshot = CartSnapshot(definitions_, 5);
  AddValue(snapshot, 0, 0, 1);
  AddValue(snapshot, 2, 0, 3.3000000000000003, true);
  AddValue(snapshot, 2, 1, std::nan(""));
  Show(std::move(snapshot));
  const json now = Now();
  EXPECT_EQ(now["kind"], "now");
  EXPECT_EQ(now["time"], 1000.5);
  EXPECT_EQ(now["recording"], nullptr);
  EXPECT_EQ(now["channels"][0]["frames"], 7);
  EXPECT_EQ(now["values"], json::parse(R"([[1.0,"v",0.3,"good"], null, [[3.3,null],"sa",0.3]])"));
}

TEST_F(LiveFeedTest, SaysWhatIsWrongWithListening) {
  Snapshot snapshot = CartSnapshot(definitions_, 0);
  snapshot.drops = 4;
  snapshot.channels[0].state = "down";
  ChannelCondition condition;
  condition.state = "down";
  condition.link.name = "can0";
  snapshot.channels[0].condition = condition;
  Show(std::move(snapshot));
  const json now = Now();
  ASSERT_FALSE(now["problems"].empty());
  EXPECT_EQ(now["problems"][0]["channel"], "can0");
  EXPECT_NE(now["problems"][0]["remedy"], "");
  EXPECT_EQ(now["channels"][0]["adapter"]["interface"], "can0");
}

TEST(LiveDecoder, KeepsTheCharactersOfTexts) {
  const std::vector<decoders::SourceText> texts = {{"cart.yaml", R"(
vehicle: Test cart (invented)
byte order: big
buses: {pack: {bitrate: 500000}}
frames:
  label:
    bus: pack
    id: 0x101
    length: 8
    signals:
      number: {where: bytes 0-3, type: text}
      weight: {where: byte 4}
)"}};
  const auto loaded = decoders::LoadDefinitions(texts);
  ASSERT_TRUE(loaded.ok()) << decoders::FormatDiagnostics(loaded.diagnostics);
  LiveDecoder live(loaded.definitions, {});
  Frame frame;
  frame.id = 0x101;
  frame.length = 8;
  frame.data = {'B', 'Q', '4', ' ', 7};
  live.Update({&frame, 1});
  std::vector<LatestValue> values = live.Values(frame.time);
  ASSERT_EQ(values.size(), 2u);
  EXPECT_EQ(values[0].text, "BQ4");
  EXPECT_EQ(ValueOrNull(values[0]), "BQ4");
  EXPECT_EQ(ValueOrNull(values[1]), 7);
  frame.data = {0xFF, 0xFF, 0xFF, 0xFF, 8};
  live.Update({&frame, 1});
  values = live.Values(frame.time);
  EXPECT_EQ(values[0].text, "") << "an older text is not shown as the newest";
  EXPECT_EQ(ValueOrNull(values[0]), nullptr);
}

TEST_F(LiveFeedTest, WithoutDefinitionsThereAreNoSignals) {
  Show(CartSnapshot(nullptr, 0));
  EXPECT_EQ(json::parse(*feed_.vehicle())["signals"], json::array());
  EXPECT_EQ(Now()["values"], json::array());
}

TEST_F(LiveFeedTest, AllListenersShareOneText) {
  Show(CartSnapshot(definitions_, 0));
  EXPECT_EQ(feed_.now(), feed_.now());
  const LiveFeed::Text vehicle = feed_.vehicle();
  const LiveFeed::Text now = feed_.now();
  Show(CartSnapshot(definitions_, 1));
  EXPECT_EQ(feed_.vehicle(), vehicle) << "the description did not change";
  EXPECT_NE(feed_.now(), now);
  Show(CartSnapshot(CartDefinitions(), 2));
  EXPECT_NE(feed_.vehicle(), vehicle) << "other definitions are told";
}

TEST_F(LiveFeedTest, RemembersWhenAWarningWasOn) {
  using decoders::WarningStateKind;
  const auto at = [this](int tenths, WarningStateKind kind, int from) {
    Snapshot snapshot = CartSnapshot(definitions_, tenths);
    snapshot.warnings[0].kind = kind;
    snapshot.warnings[0].from =
        WallFromNanoseconds(1'000'000'000'000) + std::chrono::milliseconds(100) * from;
    Show(std::move(snapshot));
    return Now()["warnings"][0];
  };
  EXPECT_EQ(at(0, WarningStateKind::kOff, 0), json::parse(R"({"state":"off","since":1000.0})"));
  EXPECT_EQ(at(10, WarningStateKind::kOn, 10), json::parse(R"({"state":"on","since":1001.0})"));
  EXPECT_EQ(at(30, WarningStateKind::kOff, 20),
            json::parse(R"({"state":"off","since":1002.0,"was_on":[1001.0,1002.0]})"));
}

class HistoryTest : public ::testing::Test {
 protected:
  void Take(int tenths, double voltage) {
    Snapshot snapshot = CartSnapshot(definitions_, tenths);
    AddValue(snapshot, 1, 0, voltage);
    AddValue(snapshot, 2, 0, 3);
    AddValue(snapshot, 2, 1, 5);
    AddValue(snapshot, 2, 2, 1, true);  // stale: does not count
    last_minutes_.Take(snapshot);
  }
  const std::shared_ptr<const decoders::Definitions> definitions_ = CartDefinitions();
  LastMinutes last_minutes_;
};

TEST_F(HistoryTest, KeepsScalarsAndTheEndsOfSeries) {
  EXPECT_TRUE(last_minutes_.Names().empty());
  Take(0, 400);
  Take(5, 401);
  EXPECT_THAT(last_minutes_.Names(),
              ::testing::ElementsAre("level", "voltage", "cell.lowest", "cell.highest"));
  const auto extract =
      last_minutes_.Get({"voltage", "cell.lowest", "cell.highest", "level"}).value();
  EXPECT_THAT(extract.times, ::testing::ElementsAre(1000.0, 1000.5));
  EXPECT_THAT(extract.columns[0], ::testing::ElementsAre(400.0F, 401.0F));
  EXPECT_THAT(extract.columns[1], ::testing::ElementsAre(3.0F, 3.0F));
  EXPECT_THAT(extract.columns[2], ::testing::ElementsAre(5.0F, 5.0F));
  EXPECT_TRUE(std::isnan(extract.columns[3][0])) << "never received";
  EXPECT_FALSE(last_minutes_.Get({"cell"}).ok());
}

TEST_F(HistoryTest, ForgetsTheOldestWhenItIsFull) {
  const int rows = static_cast<int>(LastMinutes::kRows);
  for (int i = 0; i < rows + 3; ++i) Take(i, i);
  const auto extract = last_minutes_.Get({"voltage"}).value();
  ASSERT_EQ(extract.times.size(), LastMinutes::kRows);
  EXPECT_EQ(extract.columns[0].front(), 3);
  EXPECT_EQ(extract.columns[0].back(), static_cast<float>(rows + 2));
  EXPECT_TRUE(std::is_sorted(extract.times.begin(), extract.times.end()));
}

TEST_F(HistoryTest, BeginsAnewWhenTimeGoesBack) {
  Take(100, 1);
  Take(50, 2);
  EXPECT_THAT(last_minutes_.Get({"voltage"}).value().columns[0], ::testing::ElementsAre(2.0F));
}

}  // namespace
}  // namespace proofdrive::daemon
