#include "analysis/pass/pass.h"

#include <gmock/gmock.h>

#include "decoders/language/loader.h"
#include "session/writer.h"
#include "tests/support/counting_files.h"
#include "tests/support/matchers.h"
#include "tests/support/memory_files.h"

namespace proofdrive::analysis {
namespace {

using std::chrono::milliseconds;
using std::chrono::seconds;
using ::testing::Each;
using ::testing::ElementsAre;
using ::testing::SizeIs;

constexpr int kFrames = 3000;  // 10 ms apart: 30 chunks, 30 s
constexpr char kCar[] =
    "byte order: big\nframes: {one: {id: 1, signals: {a: {where: bytes 0-1}, b: {where: byte 2}}},"
    "two: {id: 2, signals: {c: {where: byte 0}}}}\ncomputed: {twice: {formula: c * 2}}";

std::shared_ptr<const decoders::Definitions> Load() {
  const decoders::SourceText source{"car.yaml", kCar};
  return decoders::LoadDefinitions(std::span(&source, 1)).definitions;
}

std::uint32_t SignalOf(const decoders::Definitions& definitions, const char* name) {
  return *definitions.FindSignal(name);
}

// Gathers everything it is given; may have enough.
class Gathering : public SeriesConsumer {
 public:
  explicit Gathering(std::vector<std::uint32_t> signals, int most_stretches = 1 << 30)
      : signals_(std::move(signals)), most_(most_stretches) {}

  std::vector<std::uint32_t> Signals() const override { return signals_; }
  void OnSeries(const Series& part) override {
    EXPECT_GT(part.size(), 0U);
    order.push_back(part.signal);
    at[part.signal].insert(at[part.signal].end(), part.at.begin(), part.at.end());
    numbers[part.signal].insert(numbers[part.signal].end(), part.numbers.begin(),
                                part.numbers.end());
  }
  bool OnEndOfStretch() override { return ++stretches < most_; }

  std::vector<std::uint32_t> order;
  std::map<std::uint32_t, std::vector<Duration>> at;
  std::map<std::uint32_t, std::vector<double>> numbers;
  int stretches = 0;

 private:
  std::vector<std::uint32_t> signals_;
  int most_;
};

class Counting : public FrameConsumer {
 public:
  explicit Counting(int most = 1 << 30) : most_(most) {}
  bool OnFrame(const DecodedFrame& frame) override {
    EXPECT_GE(frame.at, last_);
    last_ = frame.at;
    values += frame.values.size();
    described += frame.definition >= 0 ? 1 : 0;
    return ++frames < most_;
  }

  int frames = 0;
  int described = 0;
  std::size_t values = 0;

 private:
  int most_;
  Duration last_{0};
};

class PassTest : public ::testing::Test {
 protected:
  // Frames 1, 2, 3 in turn; with `step`, times from the middle on are 6 s earlier.
  std::unique_ptr<session::Reader> Write(bool step = false) {
    session::WriterOptions options;
    options.frames_per_chunk = 100;
    options.journal = false;
    auto writer = session::Writer::Create(files_, "a.session", {}, options);
    EXPECT_OK(writer);
    for (int i = 0; i < kFrames; ++i) {
      Frame frame;
      frame.time = WallTime(seconds(1'700'000'000)) + milliseconds(10 * i) -
                   seconds(step && i >= kFrames / 2 ? 6 : 0);
      frame.id = static_cast<std::uint32_t>(1 + i % 3);
      frame.length = 8;
      frame.data[0] = static_cast<std::uint8_t>(i >> 8);
      frame.data[1] = static_cast<std::uint8_t>(i);
      EXPECT_OK((*writer)->Append({&frame, 1}));
    }
    EXPECT_OK((*writer)->Finish());
    auto reader = session::Reader::Open(files_, "a.session");
    EXPECT_OK(reader);
    files_.bytes = 0;
    return std::move(*reader);
  }

  testing::CountingFiles<testing::MemoryFiles> files_;
  std::shared_ptr<const decoders::Definitions> definitions_ = Load();
  const std::uint32_t a_ = SignalOf(*definitions_, "a");
  const std::uint32_t b_ = SignalOf(*definitions_, "b");
  const std::uint32_t c_ = SignalOf(*definitions_, "c");
  const std::uint32_t twice_ = SignalOf(*definitions_, "twice");
};

TEST_F(PassTest, AConsumerGetsItsSignalsStretchByStretch) {
  const auto reader = Write();
  Gathering some({a_});
  Pass pass(*reader, definitions_);
  pass.Add(some);
  ASSERT_OK(pass.Run());
  EXPECT_THAT(some.order, Each(a_));
  EXPECT_EQ(some.stretches, 30);
  ASSERT_THAT(some.at[a_], SizeIs(1000));
  for (std::size_t i = 0; i < 1000; ++i) {
    EXPECT_EQ(some.at[a_][i], milliseconds(30 * i));
    EXPECT_EQ(some.numbers[a_][i], 3.0 * static_cast<double>(i));
  }
}

TEST_F(PassTest, ManyConsumersShareOneRead) {
  const auto reader = Write();
  ASSERT_OK(reader->ForEachFrame([](const Frame&) { return true; }));
  const std::uint64_t once = files_.bytes;
  files_.bytes = 0;
  Gathering first({a_, c_}), second({twice_, a_});
  Counting frames, few(250);
  Pass pass(*reader, definitions_);
  pass.Add(first);
  pass.Add(frames);
  pass.Add(second);
  pass.Add(few);
  ASSERT_OK(pass.Run());
  EXPECT_EQ(files_.bytes, once);
  EXPECT_EQ(frames.frames, kFrames);
  EXPECT_EQ(frames.described, 2000);
  EXPECT_EQ(frames.values, 2 * 1000U + 2 * 1000U) << "a and b; c and what is computed of it";
  EXPECT_EQ(few.frames, 250) << "it had enough";
  EXPECT_THAT(first.at[a_], SizeIs(1000));
  EXPECT_THAT(first.at[c_], SizeIs(1000));
  EXPECT_EQ(first.at.count(twice_), 0U) << "asked for by the other one";
  EXPECT_EQ(second.at[a_], first.at[a_]);
  ASSERT_THAT(second.at[twice_], SizeIs(1000));
  EXPECT_EQ(second.at[twice_], first.at[c_]);
  for (std::size_t i = 0; i < 1000; ++i) {
    EXPECT_EQ(second.numbers[twice_][i], 2 * first.numbers[c_][i]);
  }
}

TEST_F(PassTest, SignalsComeInTheirOrder) {
  const auto reader = Write();
  Gathering all({twice_, c_, b_, a_}, 1);
  Pass pass(*reader, definitions_);
  pass.Add(all);
  ASSERT_OK(pass.Run());
  EXPECT_THAT(all.order, ElementsAre(a_, b_, c_, twice_));
  const auto order = SignalOrder(definitions_);
  EXPECT_LT(order[a_], order[b_]);
  EXPECT_LT(order[b_], order[c_]);
  EXPECT_LT(order[c_], order[twice_]);
}

TEST_F(PassTest, ReadingEndsWithTheLastConsumer) {
  const auto reader = Write();
  Gathering some({a_}, 2);
  Counting few(150);
  std::vector<std::uint64_t> told;
  Pass pass(*reader, definitions_);
  pass.Add(some);
  pass.Add(few);
  ASSERT_OK(pass.Run([&](std::uint64_t done, std::uint64_t all) {
    EXPECT_EQ(all, static_cast<std::uint64_t>(kFrames));
    told.push_back(done);
  }));
  EXPECT_THAT(told, ElementsAre(100U, 200U));
  EXPECT_EQ(few.frames, 150);
}

TEST_F(PassTest, WithoutConsumersNothingIsRead) {
  const auto reader = Write();
  Pass pass(*reader, definitions_);
  ASSERT_OK(pass.Run());
  EXPECT_EQ(files_.bytes, 0U);
}

TEST_F(PassTest, WithoutDefinitionsThereAreFrames) {
  const auto reader = Write();
  Counting frames;
  Pass pass(*reader, nullptr);
  pass.Add(frames);
  ASSERT_OK(pass.Run());
  EXPECT_EQ(frames.frames, kFrames);
  EXPECT_EQ(frames.described, 0);
  EXPECT_EQ(pass.decoder(), nullptr);
}

// The step is in the sixteenth of thirty stretches.
TEST_F(PassTest, AClockThatWasSetBackTakesNoTime) {
  const auto reader = Write(true);
  Gathering alone({c_}), with({c_});
  Counting frames;
  Pass pass(*reader, definitions_);
  pass.Add(alone);
  ASSERT_OK(pass.Run());
  Pass both(*reader, definitions_);
  both.Add(with);
  both.Add(frames);
  ASSERT_OK(both.Run());
  EXPECT_THAT(both.clock_steps(), SizeIs(1));
  EXPECT_EQ(alone.at[c_], with.at[c_]);
  ASSERT_THAT(alone.at[c_], SizeIs(1000));
  EXPECT_TRUE(std::is_sorted(alone.at[c_].begin(), alone.at[c_].end()));
  EXPECT_NEAR(ToSeconds(alone.at[c_].back()), 30, 0.05);
  EXPECT_NEAR(ToSeconds(alone.at[c_][499]), 15, 0.05);
}

}  // namespace
}  // namespace proofdrive::analysis
