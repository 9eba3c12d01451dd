#include <utility>
// After <utility>, which Boost 1.74's Asio misses with g++ 12.
#include <boost/asio/post.hpp>

#include "app/dog_files.h"
#include "app/record_session.h"

namespace masseter {

Expected<void> RecordSession::Queue(const std::string& json) {
  auto action = ParseAction(json);
  if (!action) return tl::unexpected(action.error());
  boost::asio::post(io_, [this, a = std::move(*action)] { Do(a); });
  return {};
}

void RecordSession::Do(const OperatorAction& action) {
  if (done_) return;
  if (action.type == "dog") {
    Check(
        book_.logbook.PutRoster({{action.dog, action.breed, action.mass_kg}}));
    auto roster = book_.logbook.Roster();
    if (roster) publisher_->SetRoster(std::move(*roster));
    return;
  }
  const std::string what = action.type == "up"    ? action.dog
                           : action.type == "out" ? std::string(kOutMark)
                                                  : std::string(kZeroMark);
  for (auto& live : sources_) Check(live->recording->MarkNow(what));
  if (action.type == "up") {
    up_by_hand_ = true;
    up_ = action.dog;
    publisher_->SetUp(action.dog);
  }
}

}  // namespace masseter
