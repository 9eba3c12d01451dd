#include "app/block_queue.h"

#include <gtest/gtest.h>

#include <thread>

namespace masseter {
namespace {

RawBlock Numbered(std::size_t rows) {
  RawBlock block;
  block.rows = rows;
  return block;
}

TEST(BlockQueue, HandsOverEveryBlockInOrder) {
  constexpr std::size_t kBlocks = 500;
  BlockQueue queue;
  std::thread reader([&] {
    for (std::size_t i = 0; i < kBlocks; ++i) {
      EXPECT_TRUE(queue.Put(Numbered(i)));
    }
    queue.End();
  });
  for (std::size_t i = 0; i < kBlocks; ++i) {
    const auto block = queue.Take();
    ASSERT_TRUE(block);
    EXPECT_EQ(block->rows, i);
  }
  EXPECT_FALSE(queue.Take());
  reader.join();
}

TEST(BlockQueue, LetsAReaderGoWhoseTakerGaveUp) {
  BlockQueue queue;
  std::size_t put = 0;
  std::thread reader([&] {
    while (queue.Put(Numbered(put))) ++put;
    queue.End();
  });
  EXPECT_TRUE(queue.Take());
  queue.GiveUp();
  reader.join();
  EXPECT_GE(put, 1u);
}

}  // namespace
}  // namespace masseter
