// What the tests of the text intake share: rigs, and an intake run to its end.
#ifndef MASSETER_DEVICE_INTAKE_TESTING_H_
#define MASSETER_DEVICE_INTAKE_TESTING_H_

#include <cstddef>
#include <string>
#include <string_view>
#include <utility>
#include <variant>
#include <vector>

#include "device/text_intake.h"

namespace masseter {

// A rig whose channels are those of `columns` that no role claims.
inline Rig MakeRig(char separator, const std::vector<std::string>& channels,
                   const std::vector<std::string>& columns) {
  Rig rig;
  rig.name = "Test sleeve";
  rig.sample_rate_hz = 1000;
  for (const std::string& name : channels) {
    rig.channels.emplace_back().name = name;
  }
  rig.text.separator = separator;
  for (const std::string& name : columns) {
    rig.text.columns.push_back(RoleOfName(rig, name).value());
  }
  return rig;
}

inline Rig FourCells(char separator = ',') {
  return MakeRig(separator, {"c1", "c2", "c3", "c4"},
                 {"seq", "t_us", "c1", "c2", "c3", "c4", "supply_mv"});
}

inline Rig TwoCells(char separator = ',') {
  return MakeRig(separator, {"c1", "c2"}, {"t_us", "c1", "c2"});
}

struct Taken {
  std::vector<RawBlock> blocks;
  IntakeReport report;
  Expected<void> end;

  // All values of one column in order, as doubles.
  std::vector<double> Values(std::size_t column) const {
    std::vector<double> all;
    for (const RawBlock& block : blocks) {
      std::visit(
          [&](const auto& v) {
            for (const auto x : v) all.push_back(static_cast<double>(x));
          },
          block.columns.at(column));
    }
    return all;
  }
  // The one broken line's reason, or how many there are.
  std::string OnlyFault() const {
    if (report.broken != 1) return std::to_string(report.broken) + " broken";
    return report.first_broken.at(0).why;
  }
};

inline Taken Take(const Rig& rig, std::string_view text,
                  std::size_t block_rows = 64,
                  std::size_t piece = std::string_view::npos,
                  double host_time_s = 0,
                  TextIntake::LastLine last = TextIntake::LastLine::kCounts) {
  Taken taken;
  TextIntake intake(rig, block_rows, [&](const RawBlock& b) -> Expected<void> {
    taken.blocks.push_back(b);
    return {};
  });
  while (!text.empty() && taken.end) {
    const std::string_view part = text.substr(0, piece);
    taken.end = intake.Push(part, host_time_s);
    text.remove_prefix(part.size());
  }
  if (taken.end) taken.end = intake.Finish(last);
  taken.report = intake.report();
  return taken;
}

}  // namespace masseter

#endif  // MASSETER_DEVICE_INTAKE_TESTING_H_
