#include "device/block_builder.h"

#include <cassert>
#include <utility>

namespace masseter {

void BlockBuilder::SetLayout(std::vector<ColumnRole> layout) {
  assert(empty());
  layout_ = std::move(layout);
  columns_.assign(layout_.size(), Column{});
}

void BlockBuilder::Add(std::span<const NumberText> row) {
  assert(row.size() == columns_.size() && !full());
  for (std::size_t i = 0; i < columns_.size(); ++i) {
    Column& column = columns_[i];
    const NumberText& value = row[i];
    if (value.decimal && !column.decimal) {
      column.decimal = true;
      column.reals.assign(column.integers.begin(), column.integers.end());
      column.integers.clear();
    }
    if (!column.decimal) {
      column.integers.push_back(value.integer);
    } else {
      column.reals.push_back(
          value.decimal ? value.real : static_cast<double>(value.integer));
    }
  }
  ++rows_;
}

RawBlock BlockBuilder::Take(double host_time_s) {
  RawBlock block;
  block.layout = layout_;
  block.rows = std::exchange(rows_, 0);
  block.host_time_s = host_time_s;
  block.columns.reserve(columns_.size());
  // The rows are copied: the builder keeps its room, the block is no larger
  // than it must be.
  for (Column& column : columns_) {
    if (column.decimal) {
      block.columns.emplace_back(column.reals);
    } else {
      block.columns.emplace_back(column.integers);
    }
    column.decimal = false;
    column.integers.clear();
    column.reals.clear();
  }
  return block;
}

}  // namespace masseter
