// How many connections there are, and whose: no address may fill the room.
//
// Thread rule: one thread at a time; places may go after their Places.
#ifndef MASSETER_PAGES_PLACES_H_
#define MASSETER_PAGES_PLACES_H_

#include <cstddef>
#include <map>
#include <memory>
#include <optional>
#include <string>

namespace masseter {

class Places {
  struct Count {
    std::size_t all = 0;
    std::map<std::string, std::size_t> by_network;
  };

 public:
  // At most `all` connections at one time, `each` of them from one network.
  // This machine may take every place; an eighth is kept free for it.
  Places(std::size_t all, std::size_t each);

  // One connection's place, free again when it goes.
  class Place {
   public:
    Place(Place&& other) noexcept = default;
    Place& operator=(Place&& other) = delete;
    ~Place();

   private:
    friend class Places;
    Place(std::shared_ptr<Count> count, std::string network);
    // Shared, since a connection may be torn down after its server's parts.
    std::shared_ptr<Count> count_;
    std::string network_;
  };

  // A place for `network` (NetworkOf), or none when there is no room for it.
  std::optional<Place> Take(const std::string& network, bool loopback);

  std::size_t taken() const { return count_->all; }

 private:
  std::size_t all_;
  std::size_t each_;
  std::shared_ptr<Count> count_;
};

}  // namespace masseter

#endif  // MASSETER_PAGES_PLACES_H_
