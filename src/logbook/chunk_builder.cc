#include "logbook/chunk_builder.h"

#include <algorithm>
#include <bit>
#include <type_traits>

namespace masseter {
namespace {

bool SameShape(const RawBlock& a, const RawBlock& b) {
  return a.layout == b.layout &&
         std::equal(a.columns.begin(), a.columns.end(), b.columns.begin(),
                    b.columns.end(), [](const auto& x, const auto& y) {
                      return x.index() == y.index();
                    });
}

void AddRows(const RawColumn& from, std::size_t first, std::size_t count,
             RawColumn& to) {
  std::visit(
      [&](const auto& source) {
        auto& target = std::get<std::decay_t<decltype(source)>>(to);
        const auto begin = source.begin() + static_cast<std::ptrdiff_t>(first);
        target.insert(target.end(), begin,
                      begin + static_cast<std::ptrdiff_t>(count));
      },
      from);
}

}  // namespace

ChunkBuilder::ChunkBuilder(std::int64_t capture, std::uint64_t first_row) {
  chunk_.capture = capture;
  chunk_.first_row = first_row;
}

bool ChunkBuilder::Accepts(const RawBlock& block) const {
  return empty() ||
         (chunk_.block.rows < kChunkRows && SameShape(chunk_.block, block));
}

void ChunkBuilder::Adopt(const RawBlock& block) {
  if (SameShape(chunk_.block, block)) return;  // empty columns, room kept
  chunk_.block.layout = block.layout;
  chunk_.block.columns.clear();
  for (const RawColumn& column : block.columns) {
    std::visit(
        [&](const auto& v) {
          chunk_.block.columns.emplace_back(std::decay_t<decltype(v)>());
        },
        column);
  }
}

std::size_t ChunkBuilder::Add(const RawBlock& block, std::size_t from) {
  if (empty()) Adopt(block);
  const std::size_t count =
      std::min(block.rows - from, kChunkRows - chunk_.block.rows);
  for (std::size_t c = 0; c < block.columns.size(); ++c) {
    AddRows(block.columns[c], from, count, chunk_.block.columns[c]);
  }
  chunk_.block.rows += count;
  chunk_.block.host_time_s = block.host_time_s;
  auto& arrivals = chunk_.arrivals;
  const auto bits = std::bit_cast<std::uint64_t>(block.host_time_s);
  if (arrivals.empty() ||
      std::bit_cast<std::uint64_t>(arrivals.back().host_time_s) != bits) {
    arrivals.push_back({0, block.host_time_s});
  }
  arrivals.back().rows += static_cast<std::uint32_t>(count);
  return count;
}

void ChunkBuilder::StartNext() {
  chunk_.first_row += chunk_.block.rows;
  chunk_.block.rows = 0;
  chunk_.arrivals.clear();
  for (RawColumn& column : chunk_.block.columns) {
    std::visit([](auto& v) { v.clear(); }, column);
  }
}

}  // namespace masseter
