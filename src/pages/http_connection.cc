#include <boost/asio/ip/tcp.hpp>
#include <boost/beast/http.hpp>

#include "pages/connection.h"

namespace masseter {
namespace {

namespace beast = boost::beast;
namespace http = boost::beast::http;
namespace net = boost::asio;

constexpr std::uint32_t kHeaderBytes = 8192;
constexpr std::uint64_t kBodyBytes = 1024;

std::string_view Header(const HttpRequest& request, http::field field) {
  const beast::string_view text = request[field];
  return {text.data(), text.size()};
}

}  // namespace

HttpConnection::HttpConnection(beast::tcp_stream stream, const Shared& shared,
                               Adopt adopt)
    : stream_(std::move(stream)), shared_(shared), adopt_(std::move(adopt)) {}

void HttpConnection::Stop() {
  Error ignored;
  stream_.socket().close(ignored);
}

void HttpConnection::Read() {
  parser_.emplace();
  parser_->header_limit(kHeaderBytes);
  parser_->body_limit(kBodyBytes);
  stream_.expires_after(shared_.options.silence);
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
  if (beast::websocket::is_upgrade(parser_->get())) return Upgrade();
  Send(Answer(parser_->get(), shared_.gate, shared_.assets));
}

void HttpConnection::Upgrade() {
  const HttpRequest& request = parser_->get();
  const std::string_view host = Header(request, http::field::host);
  if (!shared_.gate.HostAllowed(host) ||
      !shared_.gate.OriginAllowed(Header(request, http::field::origin), host)) {
    return Send(Sentence(request, http::status::forbidden,
                         "Only this server's own page may listen here."));
  }
  if (request.target() != "/live") {
    return Send(Sentence(request, http::status::not_found,
                         "The live messages are at /live"));
  }
  Error error;
  const auto peer = stream_.socket().remote_endpoint(error);
  if (error) return;
  const Role role = shared_.gate.RoleOf({peer.address().is_loopback()});
  stream_.expires_never();
  auto live =
      std::make_shared<LiveConnection>(std::move(stream_), shared_, role);
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
