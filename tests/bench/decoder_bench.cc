// Decoding speed, as ratios to baselines of the same run: a decoder written by hand for these
// signals, and one that goes bit by bit. Also the live path and loading, for definitions of two
// sizes.
#include <benchmark/benchmark.h>

#include <cstdint>
#include <cstring>
#include <random>
#include <string>
#include <vector>

#include "decoders/definitions/loader.h"
#include "decoders/signals/column_decoder.h"
#include "decoders/signals/decoder.h"

namespace proofdrive::decoders {
namespace {

constexpr std::size_t kRows = 4096;  // a block that stays in the cache

// A mixed set of shapes, eight bytes per frame.
const char* kMixed = R"(
frames:
  f:
    id: 1
    signals:
      a: {where: bytes 0-1 big, scale: 0.1, offset: -40}
      b: {where: bytes 2-3 little, signed: yes, scale: 0.5}
      c: {where: byte 4 bits 0-2}
      d: {where: "byte 5 bits 4-7, byte 6", scale: 0.1, offset: -40}
      e: {where: "byte 7, byte 5 bits 0-3", signed: yes}
      g: {where: bytes 0-7 big, signed: yes, may overlap: yes}
      h: {where: byte 4 bit 7}
)";
constexpr std::uint32_t kSignals = 7;

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

void ColumnOurs(benchmark::State& state) {
  const ColumnDecoder decoder(Load(kMixed));
  const auto bytes = RandomBytes(kRows * 8);
  std::vector<double> out(kRows);
  for (auto _ : state) {
    for (std::uint32_t signal = 0; signal < kSignals; ++signal) {
      decoder.Decode(signal, 0, {bytes, 8}, out);
      benchmark::DoNotOptimize(out.data());
      benchmark::ClobberMemory();
    }
  }
  state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(kRows * kSignals));
}
BENCHMARK(ColumnOurs);

// What somebody would write who knows these seven signals.
template <class Formula>
void ByHand(const std::vector<std::uint8_t>& bytes, std::vector<double>& out, Formula formula) {
  for (std::size_t i = 0; i < kRows; ++i) out[i] = formula(bytes.data() + i * 8);
  benchmark::DoNotOptimize(out.data());
  benchmark::ClobberMemory();
}

void ColumnByHand(benchmark::State& state) {
  using Row = const std::uint8_t*;
  const auto bytes = RandomBytes(kRows * 8);
  std::vector<double> out(kRows);
  for (auto _ : state) {
    ByHand(bytes, out, [](Row p) { return (p[0] << 8 | p[1]) * 0.1 - 40; });
    ByHand(bytes, out, [](Row p) { return static_cast<std::int16_t>(p[2] | p[3] << 8) * 0.5; });
    ByHand(bytes, out, [](Row p) { return static_cast<double>(p[4] & 7); });
    ByHand(bytes, out, [](Row p) { return ((p[5] >> 4) << 8 | p[6]) * 0.1 - 40; });
    ByHand(bytes, out, [](Row p) {
      const int raw = p[7] << 4 | (p[5] & 15);
      return static_cast<double>(raw >= 2048 ? raw - 4096 : raw);
    });
    ByHand(bytes, out, [](Row p) {
      std::uint64_t word = 0;
      std::memcpy(&word, p, 8);
      return static_cast<double>(static_cast<std::int64_t>(__builtin_bswap64(word)));
    });
    ByHand(bytes, out, [](Row p) { return static_cast<double>(p[4] >> 7); });
  }
  state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(kRows * kSignals));
}
BENCHMARK(ColumnByHand);

void ColumnBitByBit(benchmark::State& state) {
  const auto definitions = Load(kMixed);
  const auto bytes = RandomBytes(kRows * 8);
  std::vector<double> out(kRows);
  for (auto _ : state) {
    for (const Signal& signal : definitions->signals) {
      for (std::size_t row = 0; row < kRows; ++row) {
        std::uint64_t raw = 0;
        for (const Piece& piece : signal.location.pieces) {
          for (int bit = piece.count - 1; bit >= 0; --bit) {
            raw = raw << 1 | ((bytes[row * 8 + piece.byte] >> (piece.lowest_bit + bit)) & 1U);
          }
        }
        const bool is_signed = signal.encoding == Encoding::kSigned;
        const double number = is_signed
                                  ? static_cast<double>(SignExtend(raw, signal.location.bits()))
                                  : static_cast<double>(raw);
        out[row] = number * signal.scale + signal.offset;
      }
      benchmark::DoNotOptimize(out.data());
      benchmark::ClobberMemory();
    }
  }
  state.SetItemsProcessed(state.iterations() * static_cast<std::int64_t>(kRows * kSignals));
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

void LiveFrames(benchmark::State& state) {
  const auto decoder = Decoder::Create(Load(ManyFrames(state.range(0))), {});
  std::vector<Value> values;
  Frame frame;
  frame.length = 8;
  std::uint32_t next = 0;
  for (auto _ : state) {
    frame.id = 16 + next;
    next = next + 7 < state.range(0) ? next + 7 : 0;
    values.clear();
    benchmark::DoNotOptimize(decoder->Decode(frame, values));
  }
  state.SetItemsProcessed(state.iterations());
}
BENCHMARK(LiveFrames)->Arg(100)->Arg(1000);

void LoadFile(benchmark::State& state) {
  const std::string text = ManyFrames(state.range(0));
  for (auto _ : state) benchmark::DoNotOptimize(Load(text));
}
BENCHMARK(LoadFile)->Arg(1000)->Unit(benchmark::kMillisecond);

}  // namespace
}  // namespace proofdrive::decoders

BENCHMARK_MAIN();
