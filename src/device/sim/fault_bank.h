// What goes wrong between the cells and the line that is printed. One object
// belongs to one thread; calls come in order of time.
#ifndef MASSETER_DEVICE_SIM_FAULT_BANK_H_
#define MASSETER_DEVICE_SIM_FAULT_BANK_H_

#include <cstdint>
#include <span>
#include <string>
#include <vector>

#include "device/sim/cell_bank.h"
#include "device/sim/day.h"
#include "device/sim/random.h"
#include "device/sim/sleeve.h"

namespace masseter::sim {

class FaultBank {
 public:
  // `faults` and `sleeve` must outlive the bank.
  FaultBank(const SimSleeve& sleeve, const std::vector<Fault>& faults,
            Random random);

  // True while the power is gone.
  bool PowerLost(double t_s) const { return Active(FaultKind::kRestart, t_s); }
  // True when the line of this moment never arrives.
  bool LineLost(double t_s) const { return Active(FaultKind::kGap, t_s); }

  // Moves the zeros whose time has come.
  void MoveZeros(double t_s, CellBank& cells);
  // What the supply reads under a sag, else `mv` unchanged.
  double Supply(double t_s, double mv) const;
  // Rail, stuck, glitch and loose, in that order, on the words of one sample.
  void Words(double t_s, std::span<std::int64_t> words);
  // Cuts a finished line (with its LF) short, or takes its end away so that
  // it runs into the next; true when it did.
  bool BreakLine(double t_s, std::string& line);

 private:
  bool Active(FaultKind kind, double t_s) const;
  void Word(const Fault& fault, std::span<std::int64_t> words);

  const SimSleeve& sleeve_;
  const std::vector<Fault>& faults_;
  Random random_;
  std::vector<bool> zero_done_;
  std::vector<std::int64_t> last_words_;
  bool contact_ = true;  // of the loose channel
  int broken_ = 0;
  int since_broken_ = 2;
};

}  // namespace masseter::sim

#endif  // MASSETER_DEVICE_SIM_FAULT_BANK_H_
