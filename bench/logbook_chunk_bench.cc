// Packing and unpacking raw chunks as a recording makes them: sequence,
// microseconds, four 24-bit channels with a few counts of noise, supply.
// Checks the round trip before it times anything. Bytes/s are of the values in
// memory (8 bytes each).
#include <benchmark/benchmark.h>

#include <cstdio>
#include <cstdlib>
#include <random>

#include "logbook/chunk_codec.h"

namespace masseter {
namespace {

constexpr std::size_t kColumns = 7;

RawChunk SleeveChunk(std::size_t rows) {
  std::mt19937_64 random(1);
  std::normal_distribution<double> noise(0.0, 40.0);
  std::vector<std::vector<std::int64_t>> columns(kColumns);
  for (std::size_t i = 0; i < rows; ++i) {
    const auto row = static_cast<std::int64_t>(i);
    columns[0].push_back(row);
    columns[1].push_back(1000 * row + static_cast<std::int64_t>(random() % 3));
    for (std::size_t c = 2; c < 6; ++c) {
      columns[c].push_back(100000 + 3 * row +
                           static_cast<std::int64_t>(noise(random)));
    }
    columns[6].push_back(3700 + static_cast<std::int64_t>(random() % 4));
  }
  RawChunk chunk;
  chunk.block.rows = rows;
  chunk.block.layout = {{Role::kSequence, -1}, {Role::kTimeUs, -1},
                        {Role::kChannel, 0},   {Role::kChannel, 1},
                        {Role::kChannel, 2},   {Role::kChannel, 3},
                        {Role::kSupplyMv, -1}};
  for (auto& column : columns) chunk.block.columns.emplace_back(column);
  chunk.arrivals = {{static_cast<std::uint32_t>(rows), 0.0}};
  return chunk;
}

// The same chunk as a device prints it that has scaled its signal already.
RawChunk NewtonChunk(std::size_t rows) {
  RawChunk chunk = SleeveChunk(rows);
  for (RawColumn& column : chunk.block.columns) {
    std::vector<double> values;
    for (const std::int64_t v : std::get<std::vector<std::int64_t>>(column)) {
      values.push_back(static_cast<double>(v) / 100.0);
    }
    column = values;
  }
  return chunk;
}

RawChunk ChunkFor(const benchmark::State& state) {
  const auto rows = static_cast<std::size_t>(state.range(0));
  return state.range(1) == 0 ? SleeveChunk(rows) : NewtonChunk(rows);
}

PackedChunk PackOrDie(ChunkCodec& codec, const RawChunk& chunk) {
  auto packed = codec.Pack(chunk);
  auto back = packed ? codec.Unpack(packed->bytes, packed->sha256)
                     : Expected<RawChunk>(tl::unexpected(packed.error()));
  if (!back || !(back->block == chunk.block)) {
    std::fputs("the round trip fails\n", stderr);
    std::exit(1);
  }
  return std::move(*packed);
}

void Count(benchmark::State& state, std::size_t packed_bytes) {
  const auto values = state.range(0) * static_cast<std::int64_t>(kColumns);
  state.SetBytesProcessed(state.iterations() * values * 8);
  state.SetItemsProcessed(state.iterations() * state.range(0));
  state.counters["bytes_per_row"] =
      static_cast<double>(packed_bytes) / static_cast<double>(state.range(0));
}

void Pack(benchmark::State& state) {
  ChunkCodec codec;
  const RawChunk chunk = ChunkFor(state);
  const std::size_t size = PackOrDie(codec, chunk).bytes.size();
  for (auto _ : state) {
    benchmark::DoNotOptimize(codec.Pack(chunk));
  }
  Count(state, size);
}
// {rows, 0 counts or 1 newtons with two decimals}
BENCHMARK(Pack)->Args({250, 0})->Args({8192, 0})->Args({8192, 1});

void Unpack(benchmark::State& state) {
  ChunkCodec codec;
  const PackedChunk packed = PackOrDie(codec, ChunkFor(state));
  for (auto _ : state) {
    benchmark::DoNotOptimize(codec.Unpack(packed.bytes, packed.sha256));
  }
  Count(state, packed.bytes.size());
}
BENCHMARK(Unpack)->Args({250, 0})->Args({8192, 0})->Args({8192, 1});

}  // namespace
}  // namespace masseter

BENCHMARK_MAIN();
