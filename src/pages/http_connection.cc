#include <boost/asio/ip/tcp.hpp>
#include <boost/beast/http.hpp>

#include "pages/connection.h"

namespace masseter {
namespace {

namespace beast = boost::beast;
namespace http = boost::beast::http;

constexpr std::uint32_t kHeaderBytes = 8192;
constexpr std::uint64_t kBodyBytes = 1024;

}  // namespace

HttpConnection::HttpConnection(beast::tcp_stream stream, Shared& shared,
                               Visitor visitor, Places::Place place,
                               Adopt adopt)
    : stream_(std::move(stream)),
      shared_(shared),
      visitor_(std::move(visitor)),
      place_(std::move(place)),
      adopt_(std::move(adopt)) {}

void HttpConnection::Stop() {
  Error ignored;
  stream_.socket().close(ignored);
}

void HttpConnection::Read() {
  parser_.emplace();
  parser_->header_limit(kHeaderBytes);
  parser_->body_limit(kBodyBytes);
  // For the whole request: bytes that dribble in do not prolong it.
  stream_.expires_after(shared_.options.request_time);
  http::async_read(stream_, buffer_, *parser_,
                   [self = shared_from_this()](Error error, std::size_t) {
                     if (!error) return self->Handle();
                     if (error != http::error::header_limit &&
                         error != http::error::body_limit) {
                       return;  // gone, silent, or not HTTP
                     }
                     HttpResponse response = Sentence(
                         {}, http::status::payload_too_large,
                         "This request is longer than any page sends.");
                     response.keep_alive(false);
                     self->Send(std::move(response));
                   });
}

void HttpConnection::Handle() {
  visitor_.now = std::chrono::steady_clock::now();
  if (beast::websocket::is_upgrade(parser_->get())) return Upgrade();
  Send(Answer(parser_->get(), visitor_, shared_.site()));
}

void HttpConnection::Upgrade() {
  const HttpRequest& request = parser_->get();
  auto role = Admit(request, visitor_, shared_.site());
  if (!role) return Send(std::move(role.error()));
  stream_.expires_never();
  auto live = std::make_shared<LiveConnection>(std::move(stream_), shared_,
                                               *role, std::move(*place_));
  place_.reset();
  adopt_(live);
  live->Accept(request);
}

void HttpConnection::Send(HttpResponse response) {
  response_ = std::move(response);
  stream_.expires_after(shared_.options.silence);
  http::async_write(stream_, response_,
                    [self = shared_from_this()](Error error, std::size_t) {
                      if (error) return;
                      if (!self->response_.need_eof()) return self->Read();
                      Error ignored;
                      self->stream_.socket().shutdown(
                          boost::asio::ip::tcp::socket::shutdown_send, ignored);
                    });
}

}  // namespace masseter
