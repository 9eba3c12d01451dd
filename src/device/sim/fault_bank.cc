#include "device/sim/fault_bank.h"

#include <algorithm>
#include <cmath>
#include <cstddef>

namespace masseter::sim {
namespace {

bool Covers(const Fault& fault, double t_s) {
  return t_s >= fault.start_s && t_s < fault.start_s + fault.length_s;
}

}  // namespace

FaultBank::FaultBank(const SimSleeve& sleeve, const std::vector<Fault>& faults,
                     Random random)
    : sleeve_(sleeve),
      faults_(faults),
      random_(random),
      zero_done_(faults.size(), false),
      last_words_(sleeve.cells.size(), 0) {}

bool FaultBank::Active(FaultKind kind, double t_s) const {
  return std::any_of(faults_.begin(), faults_.end(), [&](const Fault& f) {
    return f.kind == kind && Covers(f, t_s);
  });
}

void FaultBank::MoveZeros(double t_s, CellBank& cells) {
  for (std::size_t i = 0; i < faults_.size(); ++i) {
    const Fault& f = faults_[i];
    if (f.kind != FaultKind::kZero || zero_done_[i] || t_s < f.start_s)
      continue;
    cells.MoveZero(f.channel, f.amount);
    zero_done_[i] = true;
  }
}

double FaultBank::Supply(double t_s, double mv) const {
  constexpr double kUnderMv = 160.0;  // how far below the minimum a sag goes
  constexpr double kEdgeS = 0.02;
  for (const Fault& f : faults_) {
    double depth = 0.0;
    if (f.kind == FaultKind::kSag && Covers(f, t_s)) {
      depth = std::min(t_s - f.start_s, f.start_s + f.length_s - t_s) / kEdgeS;
    } else if (f.kind == FaultKind::kRestart && t_s < f.start_s) {
      depth = 1.0 - (f.start_s - t_s) / kEdgeS;  // falls just before the end
    }
    if (depth <= 0.0) continue;
    const double floor_mv = sleeve_.supply.minimum_mv - kUnderMv;
    mv += std::min(1.0, depth) * (floor_mv - mv);
  }
  return mv;
}

void FaultBank::Word(const Fault& fault, std::span<std::int64_t> words) {
  const auto c = static_cast<std::size_t>(fault.channel);
  std::int64_t& word = words[c];
  switch (fault.kind) {
    case FaultKind::kRail:
      word = fault.amount < 0.0 ? sleeve_.WordMin() : sleeve_.WordMax();
      break;
    case FaultKind::kStuck:
      word = last_words_[c];
      break;
    case FaultKind::kGlitch:
      if (random_.Chance(0.1)) {
        const int k = 8 + random_.Below(sleeve_.converter.bits - 8);
        word = (std::int64_t{1} << k) - 1;
      }
      break;
    case FaultKind::kLoose: {
      // Contact and break last about 25 samples; an open input wanders.
      if (random_.Chance(0.04)) contact_ = !contact_;
      const double open = 0.2 * random_.Normal();
      if (!contact_) {
        word = CellBank::Word(sleeve_,
                              open * static_cast<double>(sleeve_.WordMax()));
      }
      break;
    }
    default:
      break;
  }
}

void FaultBank::Words(double t_s, std::span<std::int64_t> words) {
  for (const Fault& f : faults_) {
    if (!Covers(f, t_s)) {
      continue;
    }
    Word(f, words);
  }
  std::copy(words.begin(), words.end(), last_words_.begin());
}

bool FaultBank::BreakLine(double t_s, std::string& line) {
  if (!Active(FaultKind::kBrokenLine, t_s)) return false;
  if (++since_broken_ < 3) return false;
  since_broken_ = 0;
  if (++broken_ % 2 == 1) {
    // Cut within the fields before the last, so that fields are missing.
    const std::size_t last_comma = line.rfind(',');
    const int room = static_cast<int>(last_comma);
    line.resize(1 + static_cast<std::size_t>(random_.Below(room - 1)));
    line += '\n';
  } else {
    line.pop_back();  // the line end is lost: two lines run together
  }
  return true;
}

}  // namespace masseter::sim
