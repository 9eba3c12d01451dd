#include "app/live_hub.h"

#include <algorithm>
#include <charconv>
#include <iterator>
#include <string_view>
#include <tuple>
#include <utility>

namespace masseter {
namespace {

// What a kept message's place depends on: its group, then its number.
std::pair<int, std::uint64_t> Rank(std::string_view key) {
  if (key == "hello") return {0, 0};
  const std::size_t colon = key.find(':');
  std::uint64_t number = 0;
  if (colon != std::string_view::npos) {
    std::from_chars(key.data() + colon + 1, key.data() + key.size(), number);
  }
  const std::string_view group = key.substr(0, colon);
  if (group == "trace") return {1, number};
  if (group == "now") return {2, number};
  if (group == "bite") return {3, number};
  return {4, 0};
}

bool IsBite(std::string_view key) { return Rank(key).first == 3; }

}  // namespace

std::string SleeveKey(const std::string& name, int sleeve) {
  return sleeve == 0 ? name : name + ":" + std::to_string(sleeve);
}

bool LiveHub::KeyOrder::operator()(const std::string& a,
                                   const std::string& b) const {
  return std::tuple(Rank(a), std::string_view(a)) <
         std::tuple(Rank(b), std::string_view(b));
}

std::uint64_t LiveHub::Subscribe(Listener listener) {
  const std::lock_guard lock(mutex_);
  for (const auto& [key, message] : kept_) listener(message);
  const std::uint64_t id = next_id_++;
  listeners_.emplace(id, std::move(listener));
  return id;
}

void LiveHub::Unsubscribe(std::uint64_t id) {
  const std::lock_guard lock(mutex_);
  listeners_.erase(id);
}

void LiveHub::SetActionHandler(ActionHandler handler) {
  const std::lock_guard lock(act_mutex_);
  act_ = std::move(handler);
}

Expected<void> LiveHub::Act(const std::string& json) {
  const std::lock_guard lock(act_mutex_);
  if (!act_) return BadInput("", "nothing is being recorded now");
  return act_(json);
}

void LiveHub::Publish(const std::string& key, std::string json) {
  auto message = std::make_shared<const std::string>(std::move(json));
  const std::lock_guard lock(mutex_);
  if (!key.empty()) {
    kept_[key] = message;
    if (IsBite(key)) DropOldBites();
  }
  for (const auto& [id, listener] : listeners_) listener(message);
}

void LiveHub::DropOldBites() {
  const auto first = kept_.lower_bound("bite:0");
  const auto is_bite = [](const auto& item) { return IsBite(item.first); };
  const auto last = std::find_if_not(first, kept_.end(), is_bite);
  const auto many = static_cast<std::size_t>(std::distance(first, last));
  if (many > kMostBites) kept_.erase(first);
}

void LiveHub::Keep(const std::string& key, std::string json) {
  auto message = std::make_shared<const std::string>(std::move(json));
  const std::lock_guard lock(mutex_);
  kept_[key] = std::move(message);
}

std::shared_ptr<const std::string> LiveHub::Kept(const std::string& key) {
  const std::lock_guard lock(mutex_);
  const auto found = kept_.find(key);
  return found == kept_.end() ? nullptr : found->second;
}

}  // namespace masseter
