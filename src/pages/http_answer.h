// From one HTTP request to its answer, without a socket: the page's files and
// plain sentences for everything else.
#ifndef MASSETER_PAGES_HTTP_ANSWER_H_
#define MASSETER_PAGES_HTTP_ANSWER_H_

#include <utility>

// After <utility>, which Boost 1.74's Asio misses with g++ 12.
#include <boost/beast/http.hpp>
#include <span>

#include "pages/assets.h"
#include "pages/gate.h"

namespace masseter {

using HttpRequest =
    boost::beast::http::request<boost::beast::http::string_body>;
using HttpResponse =
    boost::beast::http::response<boost::beast::http::string_body>;

// Answers GET and HEAD. Checks Host first: 403 for a stranger's name. Files
// carry an ETag (304 when the visitor has them), gzip where it is accepted;
// hashed names are cached for good. Every answer carries the headers that keep
// foreign scripts, frames and guesses at types out.
HttpResponse Answer(const HttpRequest& request, const Gate& gate,
                    std::span<const Asset> assets);

// A plain sentence with the same headers.
HttpResponse Sentence(const HttpRequest& request,
                      boost::beast::http::status status, std::string_view text);

}  // namespace masseter

#endif  // MASSETER_PAGES_HTTP_ANSWER_H_
