#include "pages/rate_limit.h"

#include <algorithm>

namespace masseter {

TokenBucket::TokenBucket(double size, double per_s)
    : size_(size), per_s_(per_s), tokens_(size) {}

double TokenBucket::TokensAt(SteadyTime now) const {
  const Seconds passed = now > at_ ? now - at_ : Seconds(0.0);
  return std::min(size_, tokens_ + passed.count() * per_s_);
}

bool TokenBucket::Take(SteadyTime now) {
  tokens_ = TokensAt(now);
  at_ = std::max(at_, now);
  if (tokens_ < 1.0) return false;
  tokens_ -= 1.0;
  return true;
}

void TokenBucket::GiveBack() { tokens_ = std::min(size_, tokens_ + 1.0); }

Seconds TokenBucket::Wait(SteadyTime now) const {
  return Seconds(std::max(0.0, (1.0 - TokensAt(now)) / per_s_));
}

bool TokenBucket::Full(SteadyTime now) const { return TokensAt(now) >= size_; }

AttemptLimit::AttemptLimit() : AttemptLimit(Rates{}) {}

AttemptLimit::AttemptLimit(const Rates& rates)
    : rates_(rates), all_(rates.all_burst, rates.all_per_s) {}

Seconds AttemptLimit::Take(const std::string& network, SteadyTime now) {
  TokenBucket& bucket = BucketOf(network, now);
  if (!bucket.Take(now)) return bucket.Wait(now);
  if (all_.Take(now)) return Seconds(0.0);
  bucket.GiveBack();
  return all_.Wait(now);
}

void AttemptLimit::GiveBack(const std::string& network) {
  all_.GiveBack();
  const auto known = buckets_.find(network);
  if (known != buckets_.end()) known->second.bucket.GiveBack();
}

TokenBucket& AttemptLimit::BucketOf(const std::string& network,
                                    SteadyTime now) {
  const auto known = buckets_.find(network);
  if (known != buckets_.end()) {
    known->second.last = now;
    return known->second.bucket;
  }
  if (buckets_.size() >= rates_.networks) Forget(now);
  const Known fresh{TokenBucket(rates_.burst, rates_.per_s), now};
  return buckets_.emplace(network, fresh).first->second.bucket;
}

// Whoever owes nothing, else whoever was away longest.
void AttemptLimit::Forget(SteadyTime now) {
  std::erase_if(buckets_, [now](const auto& entry) {
    return entry.second.bucket.Full(now);
  });
  if (buckets_.size() < rates_.networks) return;
  buckets_.erase(std::min_element(buckets_.begin(), buckets_.end(),
                                  [](const auto& a, const auto& b) {
                                    return a.second.last < b.second.last;
                                  }));
}

}  // namespace masseter
