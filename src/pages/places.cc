#include "pages/places.h"

#include <utility>

namespace masseter {

Places::Places(std::size_t all, std::size_t each)
    : all_(all), each_(each), count_(std::make_shared<Count>()) {}

Places::Place::Place(std::shared_ptr<Count> count, std::string network)
    : count_(std::move(count)), network_(std::move(network)) {
  ++count_->all;
  ++count_->by_network[network_];
}

Places::Place::~Place() {
  if (!count_) return;  // moved from
  --count_->all;
  const auto own = count_->by_network.find(network_);
  if (--own->second == 0) count_->by_network.erase(own);
}

std::optional<Places::Place> Places::Take(const std::string& network,
                                          bool loopback) {
  if (count_->all >= all_) return std::nullopt;
  if (!loopback) {
    const auto own = count_->by_network.find(network);
    const std::size_t has = own == count_->by_network.end() ? 0 : own->second;
    if (has >= each_ || count_->all >= all_ - all_ / 8) return std::nullopt;
  }
  return Place(count_, network);
}

}  // namespace masseter
