#include "device/block_builder.h"

#include <algorithm>
#include <cassert>
#include <utility>

namespace masseter {
namespace {

// The first `rows` values: the block is no larger than it must be.
template <class T>
std::vector<T> FirstOf(const std::vector<T>& values, std::size_t rows) {
  return std::vector<T>(values.begin(),
                        values.begin() + static_cast<std::ptrdiff_t>(rows));
}

}  // namespace

void BlockBuilder::SetLayout(std::vector<ColumnRole> layout) {
  assert(empty());
  layout_ = std::move(layout);
  columns_.assign(layout_.size(), Column{});
  for (Column& column : columns_) column.integers.resize(block_rows_);
}

void BlockBuilder::Add(std::span<const NumberText> row) {
  assert(row.size() == columns_.size() && !full());
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    Column& column = columns_[i];
    const NumberText& value = row[i];
    if (value.decimal && !column.decimal) {
      column.decimal = true;
      column.reals.resize(block_rows_);
      for (std::size_t r = 0; r < rows_; ++r) {
        column.reals[r] = static_cast<double>(column.integers[r]);
      }
    }
    if (!column.decimal) {
      column.integers[rows_] = value.integer;
    } else {
      column.reals[rows_] =
          value.decimal ? value.real : static_cast<double>(value.integer);
    }
  }
  ++rows_;
}

std::size_t BlockBuilder::IntegerRoom() const {
  const bool decimals =
      std::any_of(columns_.begin(), columns_.end(),
                  [](const Column& column) { return column.decimal; });
  return decimals ? 0 : block_rows_ - rows_;
}

RawBlock BlockBuilder::Take(double host_time_s) {
  RawBlock block;
  block.layout = layout_;
  block.rows = std::exchange(rows_, 0);
  block.host_time_s = host_time_s;
  block.columns.reserve(columns_.size());
  for (Column& column : columns_) {
    if (column.decimal) {
      block.columns.emplace_back(FirstOf(column.reals, block.rows));
    } else {
      block.columns.emplace_back(FirstOf(column.integers, block.rows));
    }
    column.decimal = false;
  }
  return block;
}

}  // namespace masseter
