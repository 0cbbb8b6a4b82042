// Decoding speed, as ratios to baselines of the same run: a decoder written by hand for these
// signals, and one that goes bit by bit. Also the live path and loading, for definitions of two
// sizes.
#include <benchmark/benchmark.h>

#include <bit>
#include <cmath>
#include <cstdint>
#include <random>
#include <string>
#include <vector>

#include "decoders/columns/column_decoder.h"
#include "decoders/language/loader.h"
#include "decoders/signals/decoder.h"
#include "tests/benchmarks/shapes.h"

namespace proofdrive::decoders {
namespace {

using benchmarks::kPayload;
using benchmarks::kShapes;

constexpr std::size_t kRows = 1024;  // a block that stays in the cache

// Every shape of shapes.h as a signal of one frame.
std::string ShapesText() {
  std::string text = "frames:\n  f:\n    id: 1\n    signals:\n";
  for (std::size_t i = 0; i < kShapes; ++i) {
    const benchmarks::Shape shape = benchmarks::ShapeAt(i);
    text += "      s" + std::to_string(i) + ": {may overlap: yes, where: \"" +
            benchmarks::PlaceText(shape) + "\"";
    if (shape.is_float) {
      text += shape.bits == 32 ? ", type: float32" : ", type: float64";
    } else {
      text += std::string(", scale: 0.1, offset: -40") + (shape.is_signed ? ", signed: yes" : "");
    }
    text += "}\n";
  }
  return text;
}

std::shared_ptr<const Definitions> Load(const std::string& text) {
  const std::vector<SourceText> sources = {{"bench.yaml", text}};
  return LoadDefinitions(sources).definitions;
}

std::vector<std::uint8_t> RandomBytes(std::size_t count) {
  std::mt19937 random(1);
  std::vector<std::uint8_t> bytes(count);
  for (std::uint8_t& byte : bytes) byte = static_cast<std::uint8_t>(random());
  return bytes;
}

void CountValues(benchmark::State& state) {
  state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(kRows * kShapes));
}

// Both ways must give the same, or their times mean nothing.
bool Agrees(const ColumnDecoder& decoder, const std::vector<std::uint8_t>& bytes) {
  std::vector<double> ours(kRows);
  std::vector<double> by_hand(kRows);
  for (std::uint32_t i = 0; i < kShapes; ++i) {
    if (!decoder.Decode(i, 0, {bytes, kPayload}, ours)) return false;
    benchmarks::kByHand[i](bytes.data(), kRows, by_hand.data());
    for (std::size_t row = 0; row < kRows; ++row) {
      const bool both_nan = std::isnan(ours[row]) && std::isnan(by_hand[row]);
      if (ours[row] != by_hand[row] && !both_nan) return false;
    }
  }
  return true;
}

void ColumnOurs(benchmark::State& state) {
  const ColumnDecoder decoder(Load(ShapesText()));
  const auto bytes = RandomBytes(kRows * kPayload);
  if (!Agrees(decoder, bytes)) state.SkipWithError("the values differ from those by hand");
  std::vector<double> out(kRows);
  for (auto _ : state) {
    for (std::uint32_t signal = 0; signal < kShapes; ++signal) {
      decoder.Decode(signal, 0, {bytes, kPayload}, out);
      benchmark::DoNotOptimize(out.data());
      benchmark::ClobberMemory();
    }
  }
  CountValues(state);
}
BENCHMARK(ColumnOurs);

void ColumnByHand(benchmark::State& state) {
  const auto bytes = RandomBytes(kRows * kPayload);
  std::vector<double> out(kRows);
  for (auto _ : state) {
    for (const benchmarks::ColumnByHand column : benchmarks::kByHand) {
      column(bytes.data(), kRows, out.data());
      benchmark::DoNotOptimize(out.data());
      benchmark::ClobberMemory();
    }
  }
  CountValues(state);
}
BENCHMARK(ColumnByHand);

void ColumnBitByBit(benchmark::State& state) {
  const auto definitions = Load(ShapesText());
  const auto bytes = RandomBytes(kRows * kPayload);
  std::vector<double> out(kRows);
  for (auto _ : state) {
    for (const Signal& signal : definitions->signals) {
      for (std::size_t row = 0; row < kRows; ++row) {
        std::uint64_t raw = 0;
        for (const Piece& piece : signal.location.pieces) {
          for (int bit = piece.count - 1; bit >= 0; --bit) {
            raw =
                raw << 1 | ((bytes[row * kPayload + piece.byte] >> (piece.lowest_bit + bit)) & 1U);
          }
        }
        double number = static_cast<double>(raw);
        if (signal.encoding == Encoding::kSigned) {
          number = static_cast<double>(SignExtend(raw, signal.location.bits()));
        } else if (signal.encoding == Encoding::kFloat32) {
          number = std::bit_cast<float>(static_cast<std::uint32_t>(raw));
        } else if (signal.encoding == Encoding::kFloat64) {
          number = std::bit_cast<double>(raw);
        }
        out[row] = number * signal.scale + signal.offset;
      }
      benchmark::DoNotOptimize(out.data());
      benchmark::ClobberMemory();
    }
  }
  CountValues(state);
}
BENCHMARK(ColumnBitByBit);

// Six signals per frame.
std::string ManyFrames(std::int64_t count) {
  std::string text = "byte order: big\nframes:\n";
  for (std::int64_t i = 0; i < count; ++i) {
    const std::string n = std::to_string(i);
    text += "  f" + n + ":\n    id: " + std::to_string(i + 16) + "\n    signals:\n";
    for (int s = 0; s < 6; ++s) {
      text += "      s" + n + "_" + std::to_string(s) + ": {where: byte " + std::to_string(s) +
              ", scale: 0.5, unit: V}\n";
    }
  }
  return text;
}

// Frames/s, for a definition of range(0) frames of which range(1) are on the bus, spread evenly.
// With as many on the bus, only the look-up differs between a small definition and a large one.
// With all of them on the bus, there is also ten times as much to keep in the caches.
void LiveFrames(benchmark::State& state) {
  const auto decoder = Decoder::Create(Load(ManyFrames(state.range(0))), {});
  std::vector<Value> values;
  Frame frame;
  frame.length = 8;
  std::uint32_t next = 0;
  const auto on_the_bus = static_cast<std::uint32_t>(state.range(1));
  const auto distance = static_cast<std::uint32_t>(state.range(0) / state.range(1));
  for (auto _ : state) {
    frame.id = 16 + next * distance;
    next += 7;  // not a divisor: every frame has its turn
    if (next >= on_the_bus) next -= on_the_bus;
    values.clear();
    benchmark::DoNotOptimize(decoder->Decode(frame, values));
  }
  state.SetItemsProcessed(state.iterations());
}
BENCHMARK(LiveFrames)
    ->ArgNames({"defined", "on_the_bus"})
    ->Args({100, 100})
    ->Args({1000, 100})
    ->Args({1000, 1000});

void LoadFile(benchmark::State& state) {
  const std::string text = ManyFrames(state.range(0));
  for (auto _ : state) benchmark::DoNotOptimize(Load(text));
}
BENCHMARK(LoadFile)->Arg(1000)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace proofdrive::decoders

BENCHMARK_MAIN();
