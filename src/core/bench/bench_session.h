// The bench as a state machine: which load it asks for, whether the reading
// has settled, what was read, repeated and struck out. No clock, no file, no
// words for the operator: the terminal and the page put those around it.
//
//   Asking --Placed--> Settling --settled--> Asking (next) ... --> Done
//                         |  patience over: Impatient; TakeAsItIs or wait
//
// A session is its plan and the list of what happened, in order: feeding that
// list to a new object (Restore) goes on where the old one stopped.
//
// Thread rule: one thread at a time.
#ifndef MASSETER_CORE_BENCH_BENCH_SESSION_H_
#define MASSETER_CORE_BENCH_BENCH_SESSION_H_

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

#include "core/bench/load_plan.h"
#include "core/bench/settle.h"

namespace masseter {

struct BenchReading {
  int number = 0;        // 1, 2, ... in the order they were taken
  std::size_t step = 0;  // index into the plan's steps
  SettledReading value;
  std::string struck;  // why it does not count; empty: it counts
};

enum class BenchState { kAsking, kSettling, kImpatient, kDone };
std::string_view BenchStateWord(BenchState state);

class BenchSession {
 public:
  BenchSession(const LoadPlan& plan, std::size_t channels,
               const SettleRule& rule);

  BenchState state() const { return state_; }
  // The step asked for; nullopt when done.
  std::optional<std::size_t> asked() const;
  const std::vector<LoadStep>& steps() const { return steps_; }
  const std::vector<BenchReading>& readings() const { return readings_; }
  const LoadPlan& plan() const { return plan_; }
  const SettleWatch& watch() const { return watch_; }
  std::size_t read_count() const;  // steps that have a reading that counts

  // The operator has placed the load that is asked for.
  void Placed();
  // The operator wants to wait again, or to change something first.
  void Back();
  // One sample. Returns the reading when it has just settled.
  std::optional<BenchReading> Add(double t_s, std::span<const double> values,
                                  bool broken, std::optional<double> temp_c);
  // Takes the window as it stands, marked as not settled; nullopt until a
  // window is full.
  std::optional<BenchReading> TakeAsItIs();
  // Strikes out a reading; its step is asked for again, now (the default) or,
  // with `ask_again` false, never. False: no such reading, or struck already,
  // or no reason given.
  bool Strike(int number, const std::string& reason, bool ask_again = true);
  // The step asked for is passed over for good.
  void Skip();
  // The last reading that counts; nullopt for none.
  std::optional<int> last_number() const;

  // What happened before, in order; see above.
  void Restore(const BenchReading& reading);
  void RestoreStrike(int number, const std::string& reason, bool ask_again);
  void RestoreSkip(std::size_t step);

 private:
  BenchReading Keep(SettledReading value);
  void Next();
  void LearnFullSignal(const BenchReading& reading);

  LoadPlan plan_;
  std::vector<LoadStep> steps_;
  SettleWatch watch_;
  std::vector<BenchReading> readings_;
  std::vector<bool> closed_;  // by step: read, or passed over
  std::vector<double> first_zero_;
  std::vector<double> full_;
  BenchState state_ = BenchState::kAsking;
};

// The session's readings that count, as the text of docs/formats/readings.md,
// step by step in the plan's order; struck ones follow as comments with their
// reason. `channels` are the rig's names.
std::string ReadingsCsv(const BenchSession& session,
                        const std::vector<std::string>& channels);

}  // namespace masseter

#endif  // MASSETER_CORE_BENCH_BENCH_SESSION_H_
