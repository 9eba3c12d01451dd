#include "core/study/running_order.h"

#include <algorithm>
#include <cmath>
#include <numeric>
#include <string>

#include "core/base/random_draws.h"

namespace masseter {
namespace {

constexpr int kMostTurns = 10000;

Sequence Shuffled(int n, RandomNumbers& random) {
  Sequence out(static_cast<std::size_t>(n));
  std::iota(out.begin(), out.end(), 0);
  for (std::size_t i = out.size(); i > 1; --i) {
    const auto j =
        static_cast<std::size_t>(random.Uniform() * static_cast<double>(i));
    std::swap(out[i - 1], out[j]);
  }
  return out;
}

// Rows in pairs of one and its mirror image, the pairs by lot.
std::vector<Sequence> MirroredPairs(int n, RandomNumbers& random) {
  std::vector<Sequence> design = WilliamsDesign(n);
  const int half = static_cast<int>(design.size()) / 2;
  if (half == 0) return design;
  std::vector<Sequence> out;
  for (const int i : Shuffled(half, random)) {
    const Sequence& row = design[static_cast<std::size_t>(i)];
    out.push_back(row);
    out.emplace_back(row.rbegin(), row.rend());
  }
  return out;
}

// Turns between a dog's places in two rounds, one after the other; the least.
int LeastGap(const Sequence& before, const Sequence& after) {
  const int n = static_cast<int>(before.size());
  int least = 2 * n;
  for (int i = 0; i < n; ++i) {
    for (int j = 0; j < n; ++j) {
      if (before[static_cast<std::size_t>(i)] ==
          after[static_cast<std::size_t>(j)]) {
        least = std::min(least, n - i + j);
      }
    }
  }
  return least;
}

// `rounds` rows, so ordered that every dog rests long between two rounds.
std::vector<Sequence> ChooseRounds(int dogs, int rounds,
                                   RandomNumbers& random) {
  const std::vector<Sequence> pairs = MirroredPairs(dogs, random);
  std::vector<Sequence> pool;
  for (int i = 0; i < rounds; ++i) {
    pool.push_back(pairs[static_cast<std::size_t>(i) % pairs.size()]);
  }
  std::vector<Sequence> out;
  while (!pool.empty()) {
    auto best = pool.begin();
    int best_gap = -1;
    for (auto it = pool.begin(); !out.empty() && it != pool.end(); ++it) {
      // The same round twice in a row would repeat all its neighbours.
      const int gap = *it == out.back() ? 0 : LeastGap(out.back(), *it);
      if (gap > best_gap) {
        best = it;
        best_gap = gap;
      }
    }
    out.push_back(*best);
    pool.erase(best);
  }
  const Sequence label = Shuffled(dogs, random);
  for (Sequence& round : out) {
    for (int& dog : round) dog = label[static_cast<std::size_t>(dog)];
  }
  return out;
}

// The condition of each counted bite of each dog.
std::vector<Sequence> ChooseConditions(const OrderWish& w,
                                       RandomNumbers& random) {
  std::vector<Sequence> out(static_cast<std::size_t>(w.dogs),
                            Sequence(static_cast<std::size_t>(w.bites), 0));
  if (w.conditions < 2) return out;
  const std::vector<Sequence> design = WilliamsDesign(w.conditions);
  const Sequence lot = Shuffled(w.dogs, random);
  for (int d = 0; d < w.dogs; ++d) {
    for (int b = 0; b < w.bites; ++b) {
      const int block = b / w.conditions;
      const auto row =
          static_cast<std::size_t>(lot[static_cast<std::size_t>(d)] + block) %
          design.size();
      out[static_cast<std::size_t>(d)][static_cast<std::size_t>(b)] =
          design[row][static_cast<std::size_t>(b % w.conditions)];
    }
  }
  return out;
}

class Clock {
 public:
  explicit Clock(const OrderWish& w)
      : w_(w), last_(static_cast<std::size_t>(w.dogs), -1.0) {}

  void NewDay(RunningOrder& order) {
    if (next_ > 0.0) order.day_minutes.push_back(next_);
    next_ = 0.0;
    ++day_;
    std::fill(last_.begin(), last_.end(), -1.0);
  }

  void Place(Turn turn, RunningOrder& order) {
    double& last = last_[static_cast<std::size_t>(turn.dog)];
    turn.day = day_;
    turn.minute = next_;
    if (last >= 0.0) {
      turn.minute =
          std::max(next_, last + w_.minutes_per_bite + w_.rest_minutes);
      const double rest = turn.minute - last - w_.minutes_per_bite;
      double& least = order.balance.shortest_rest;
      least = rested_ ? std::min(least, rest) : rest;
      rested_ = true;
    }
    last = turn.minute;
    next_ = turn.minute + w_.minutes_per_bite;
    order.turns.push_back(turn);
  }

 private:
  const OrderWish& w_;
  std::vector<double> last_;
  double next_ = 0.0;
  int day_ = 1;
  bool rested_ = false;
};

void FillBalance(const OrderWish& w, RunningOrder& order) {
  const auto n = static_cast<std::size_t>(w.dogs);
  std::vector<int> follows(n * n, 0);
  std::vector<double> place(n, 0.0);
  const Turn* before = nullptr;
  for (const Turn& t : order.turns) {
    if (t.round == 0) continue;
    place[static_cast<std::size_t>(t.dog)] +=
        static_cast<double>(t.place) / static_cast<double>(w.bites);
    if (before != nullptr && before->round == t.round) {
      ++follows[static_cast<std::size_t>(before->dog) * n +
                static_cast<std::size_t>(t.dog)];
    }
    before = &t;
  }
  OrderBalance& b = order.balance;
  bool first = true;
  for (std::size_t i = 0; i < n * n; ++i) {
    if (i / n == i % n) continue;
    b.follows_least =
        first ? follows[i] : std::min(b.follows_least, follows[i]);
    b.follows_most = std::max(b.follows_most, follows[i]);
    first = false;
  }
  b.place_least = *std::min_element(place.begin(), place.end());
  b.place_most = *std::max_element(place.begin(), place.end());
}

Expected<void> CheckOrder(const OrderWish& w) {
  if (w.dogs < 1 || w.bites < 1 || w.practice < 0 || w.conditions < 0 ||
      w.bites_per_day < 0) {
    return BadInput("", "an order needs a dog and a bite");
  }
  if (w.dogs > kMostTurns || w.bites + w.practice > kMostTurns / w.dogs) {
    return BadInput("", "an order of more than " + std::to_string(kMostTurns) +
                            " turns is no day's work");
  }
  if (!(w.minutes_per_bite > 0.0) || !(w.rest_minutes >= 0.0) ||
      w.minutes_per_bite > 1000.0 || w.rest_minutes > 10000.0) {
    return BadInput("", "minutes must be above zero, a rest not below it");
  }
  return {};
}

}  // namespace

std::vector<Sequence> WilliamsDesign(int n) {
  Sequence first;
  for (int i = 0; i < n; ++i) {
    // 0, 1, n-1, 2, n-2, ...
    first.push_back(i % 2 == 1 ? (i + 1) / 2 : (n - i / 2) % n);
  }
  std::vector<Sequence> rows;
  for (int shift = 0; shift < n; ++shift) {
    Sequence row = first;
    for (int& v : row) v = (v + shift) % n;
    rows.push_back(std::move(row));
  }
  if (n % 2 == 1 && n > 1) {
    for (int i = 0; i < n; ++i) {
      const Sequence row = rows[static_cast<std::size_t>(i)];
      rows.emplace_back(row.rbegin(), row.rend());
    }
  }
  return rows;
}

Expected<RunningOrder> MakeRunningOrder(const OrderWish& wish) {
  if (auto ok = CheckOrder(wish); !ok) return tl::unexpected(ok.error());
  RandomNumbers random(wish.seed);
  const int rounds = wish.practice + wish.bites;
  const std::vector<Sequence> counted =
      ChooseRounds(wish.dogs, wish.bites, random);
  const std::vector<Sequence> conditions = ChooseConditions(wish, random);
  RunningOrder order;
  Clock clock(wish);
  for (int r = 0; r < rounds; ++r) {
    if (wish.bites_per_day > 0 && r > 0 && r % wish.bites_per_day == 0) {
      clock.NewDay(order);
    }
    const bool practice = r < wish.practice;
    const int bite = practice ? 0 : r - wish.practice + 1;
    const Sequence& row =
        counted[static_cast<std::size_t>(std::max(0, bite - 1))];
    for (int i = 0; i < wish.dogs; ++i) {
      Turn t;
      t.round = bite;
      t.place = i + 1;
      t.dog = row[static_cast<std::size_t>(i)];
      t.bite = bite;
      if (!practice) {
        t.condition = conditions[static_cast<std::size_t>(t.dog)]
                                [static_cast<std::size_t>(bite - 1)];
      }
      clock.Place(t, order);
    }
  }
  clock.NewDay(order);
  FillBalance(wish, order);
  return order;
}

}  // namespace masseter
