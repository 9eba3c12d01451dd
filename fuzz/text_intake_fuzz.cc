// Arbitrary bytes, split anywhere, through the intake. What must hold: every
// block is consistent and no larger than asked for; one push, pieces, and byte
// by byte give the same blocks, report and error.
#include <cstddef>
#include <cstdint>
#include <cstdlib>
#include <span>
#include <string>
#include <vector>

#include "device/text_intake.h"

namespace masseter {
namespace {

constexpr std::size_t kBlockRows = 3;

void Require(bool holds) {
  if (!holds) std::abort();
}

Rig TwoCells(char separator) {
  Rig rig;
  rig.sample_rate_hz = 1000;
  rig.channels.emplace_back().name = "c1";
  rig.channels.emplace_back().name = "c2";
  rig.text.separator = separator;
  for (const char* name : {"t_us", "c1", "-", "c2"}) {
    rig.text.columns.push_back(RoleOfName(rig, name).value());
  }
  return rig;
}

struct Taken {
  std::vector<RawBlock> blocks;
  IntakeReport report;
  std::string error;
};

void CheckBlock(const RawBlock& block) {
  Require(block.rows > 0 && block.rows <= kBlockRows);
  Require(block.columns.size() == block.layout.size());
  for (const RawColumn& column : block.columns) {
    Require(RawColumnSize(column) == block.rows);
  }
}

Taken Take(const Rig& rig, std::span<const char> bytes, std::size_t piece,
           double host_time_s) {
  Taken taken;
  TextIntake intake(rig, kBlockRows, [&](const RawBlock& b) -> Expected<void> {
    CheckBlock(b);
    if (!taken.blocks.empty()) Require(b.layout == taken.blocks[0].layout);
    taken.blocks.push_back(b);
    return {};
  });
  Expected<void> done;
  while (!bytes.empty() && done) {
    const std::size_t n = piece < bytes.size() ? piece : bytes.size();
    done = intake.Push(bytes.first(n), host_time_s);
    bytes = bytes.subspan(n);
  }
  if (done) done = intake.Finish();
  taken.report = intake.report();
  if (!done) taken.error = done.error().Text();
  return taken;
}

void RequireSame(const Taken& a, const Taken& b) {
  Require(a.error == b.error && a.blocks == b.blocks);
  Require(a.report.lines == b.report.lines && a.report.rows == b.report.rows);
  Require(a.report.broken == b.report.broken);
  Require(a.report.headers == b.report.headers);
  Require(a.report.warnings == b.report.warnings);
  Require(a.report.first_broken.size() == b.report.first_broken.size());
  for (std::size_t i = 0; i < a.report.first_broken.size(); ++i) {
    Require(a.report.first_broken[i].line == b.report.first_broken[i].line);
    Require(a.report.first_broken[i].why == b.report.first_broken[i].why);
  }
}

void CheckSums(const Taken& taken) {
  const IntakeReport& r = taken.report;
  std::uint64_t rows = 0;
  for (const RawBlock& block : taken.blocks) rows += block.rows;
  if (taken.error.empty()) Require(rows == r.rows);
  Require(rows <= r.rows);
  Require(r.rows + r.broken + r.headers <= r.lines);
  Require(r.first_broken.size() == (r.broken < 20 ? r.broken : 20));
  Require(r.warnings.size() <= 20);
}

}  // namespace
}  // namespace masseter

// The first byte chooses separator, liveness and the size of the pieces.
extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data,
                                      std::size_t size) {
  if (size == 0) return 0;
  const unsigned choice = data[0];
  const std::string text(data + 1, data + size);
  const masseter::Rig rig = masseter::TwoCells(",;\t "[choice & 3u]);
  const double host_time_s = (choice & 4u) != 0 ? 1.0e9 : 0.0;
  const std::size_t piece = 2 + (choice >> 3);
  const masseter::Taken whole =
      masseter::Take(rig, text, text.size() + 1, host_time_s);
  masseter::CheckSums(whole);
  masseter::RequireSame(whole, masseter::Take(rig, text, 1, host_time_s));
  masseter::RequireSame(whole, masseter::Take(rig, text, piece, host_time_s));
  return 0;
}
