// How often something may be done: token buckets, and one for each network
// address that tries codes. Time comes in as an argument.
//
// Thread rule: one thread at a time.
#ifndef MASSETER_PAGES_RATE_LIMIT_H_
#define MASSETER_PAGES_RATE_LIMIT_H_

#include <chrono>
#include <cstddef>
#include <map>
#include <string>

namespace masseter {

using SteadyTime = std::chrono::steady_clock::time_point;
using Seconds = std::chrono::duration<double>;

// `size` at once, then one every 1/`per_s` seconds.
class TokenBucket {
 public:
  TokenBucket(double size, double per_s);

  // Takes one; false, and nothing taken, when there is none.
  bool Take(SteadyTime now);
  // Undoes one Take.
  void GiveBack();
  // Until there is one; zero when there is.
  Seconds Wait(SteadyTime now) const;
  // True when nothing was taken that has not come back.
  bool Full(SteadyTime now) const;

 private:
  double TokensAt(SteadyTime now) const;
  double size_;
  double per_s_;
  double tokens_;
  SteadyTime at_{};
};

// Tries of codes: a bucket for each network and one for all together. One
// network that keeps trying has no more than its own share of the common one,
// so it does not lock out the others.
class AttemptLimit {
 public:
  struct Rates {
    double burst = 5.0;
    double per_s = 0.5;
    double all_burst = 100.0;
    double all_per_s = 20.0;
    std::size_t networks = 1024;  // remembered at one time
  };
  AttemptLimit();
  explicit AttemptLimit(const Rates& rates);

  // Takes one try of `network`: zero, or how long it has to wait.
  Seconds Take(const std::string& network, SteadyTime now);
  // The try was right: it does not count.
  void GiveBack(const std::string& network);

  std::size_t networks() const { return buckets_.size(); }

 private:
  TokenBucket& BucketOf(const std::string& network, SteadyTime now);
  void Forget(SteadyTime now);

  struct Known {
    TokenBucket bucket;
    SteadyTime last;
  };
  Rates rates_;
  TokenBucket all_;
  std::map<std::string, Known> buckets_;
};

}  // namespace masseter

#endif  // MASSETER_PAGES_RATE_LIMIT_H_
