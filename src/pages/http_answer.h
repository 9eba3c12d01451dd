// From one HTTP request to its answer, without a socket: the page's files, the
// door, and plain sentences for everything else.
//
// Not shared (no door), this machine operates and nobody else is answered.
// Shared, everybody needs a session, this machine too; without one there is
// nothing but the door:
//
//   GET /            the door, in place of the page
//   GET /door        the door, also for those who are in (another code)
//   POST /enter      code=...  -> 303 to / with the session's cookie,
//                    403 (no such code) or 429 (too many tries), the door again
//   anything else    403, whether it exists or not
//
// Thread rule: one thread at a time, the door's.
#ifndef MASSETER_PAGES_HTTP_ANSWER_H_
#define MASSETER_PAGES_HTTP_ANSWER_H_

#include <string>
#include <utility>

// After <utility>, which Boost 1.74's Asio misses with g++ 12.
#include <boost/beast/http.hpp>
#include <span>

#include "pages/assets.h"
#include "pages/door.h"
#include "pages/gate.h"

namespace masseter {

using HttpRequest =
    boost::beast::http::request<boost::beast::http::string_body>;
using HttpResponse =
    boost::beast::http::response<boost::beast::http::string_body>;

// What answers: `door` is null when the pages are not shared.
struct Site {
  const Gate& gate;
  Door* door = nullptr;
  std::span<const Asset> assets;
};

// Who asks, and when.
struct Visitor {
  std::string network;  // NetworkOf its address (network.h)
  bool loopback = false;
  SteadyTime now{};
};

// The answer to any request but a WebSocket's. Checks Host first: 403 for a
// stranger's name; then that no other site makes the browser ask. Files carry
// an ETag (304 when the visitor has them), gzip where it is accepted; hashed
// names are cached for good. Every answer carries the headers that keep
// foreign scripts, frames and guesses at types out.
HttpResponse Answer(const HttpRequest& request, const Visitor& visitor,
                    const Site& site);

// Whether a WebSocket may listen at /live, and as what; else the refusal.
tl::expected<PageRole, HttpResponse> Admit(const HttpRequest& request,
                                           const Visitor& visitor,
                                           const Site& site);

// A plain sentence with the same headers.
HttpResponse Sentence(const HttpRequest& request,
                      boost::beast::http::status status, std::string_view text);

}  // namespace masseter

#endif  // MASSETER_PAGES_HTTP_ANSWER_H_
